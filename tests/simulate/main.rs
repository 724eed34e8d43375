//! The simulator's physics against published theory, and the loop against its own laws.

#![allow(clippy::unwrap_used)]

mod air;
mod band;
mod clicks;
mod correlation;
mod fading;
mod loops;
mod morse;
mod noise;
mod quieting;
mod rice;
mod shadowing;
mod signal;
mod squelch;
mod tones;

/// Fails with both values where `got` is further than `slack` from `want`.
#[track_caller]
fn near(what: &str, got: f64, want: f64, slack: f64) {
    assert!(
        (got - want).abs() <= slack,
        "{what}: {got}, should be {want} within {slack}"
    );
}
