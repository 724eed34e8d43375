//! The station's side: cost, tee, SINAD, stepped test, fault search. Beside each value stands its
//! source and how far it was seen: *seen*, *second-hand*, *from memory*, or *derived here*.

#![allow(clippy::unwrap_used)]

mod backoff_coverage;
mod backoff_outcomes;
mod backoff_recording;
mod chain_ahead;
mod chain_belief;
mod chain_files;
mod chain_plan;
mod cost;
mod examples;
mod models;
mod physics;
mod sinad;
mod sound;
mod tee;

/// Asserts that two numbers differ by no more than `tolerance`.
#[track_caller]
fn near(got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance,
        "got {got}, expected {expected} within {tolerance}"
    );
}
