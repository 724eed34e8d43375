//! Before and after. Beside each value stands its source and how far it was seen: *seen*,
//! *from memory*, or *derived here*.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod doubts;
mod exhibits;
mod forms;
mod proofs;
mod saved;
mod steps;

/// Asserts that two numbers differ by no more than `tolerance`.
#[track_caller]
fn near(got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance,
        "got {got}, expected {expected} within {tolerance}"
    );
}
