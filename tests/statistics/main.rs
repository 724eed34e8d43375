//! Statistics against published values. Beside each value stands its source and how far it was
//! seen: *seen* (read in the source), *second-hand*, *from memory*, or *derived here* (worked
//! out with another program, named).

#![allow(clippy::unwrap_used)]

mod circle;
mod curves;
mod fractions;
mod intervals;
mod rates;
mod scores;
mod tables;
mod thresholds;

/// Asserts that two numbers differ by no more than `tolerance`.
#[track_caller]
fn near(got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance,
        "got {got}, expected {expected} within {tolerance}"
    );
}
