//! Trials of the stepped test.

use crate::units::{Decibels, Instant, Seconds};

/// One drop at a known back-off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trial {
    /// How far the signal was below the level at which it just drops.
    pub backoff: Decibels,
    /// When the carrier dropped; `None` for trials typed by hand.
    pub drop: Option<Instant>,
    /// Whether it came back by itself.
    pub came_back: bool,
    /// From drop to re-key.
    pub gap: Option<Seconds>,
    /// Probability that drop and outcome are as stated; `None` for trials typed by hand.
    pub confidence: Option<f64>,
}

/// All trials at one back-off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// The back-off.
    pub backoff: Decibels,
    /// Trials.
    pub trials: u32,
    /// Trials that came back.
    pub came_back: u32,
}

/// A drop or a step that is no trial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Excluded {
    /// The step's back-off, where one was in force.
    pub backoff: Option<Decibels>,
    /// When: the drop, or the start of a step without one.
    pub at: Instant,
    /// Why.
    pub reason: Exclusion,
}

/// Why a drop or a step is no trial.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exclusion {
    /// It dropped before the first step began.
    BeforeFirstStep,
    /// The operator was raising the level to bring the repeater up again.
    OperatorRaised,
    /// The step changed before it could have come back.
    StepChanged,
    /// The recording does not show whether it came back.
    GapNotObservable,
    /// The drop or the re-key is not certain enough.
    Doubtful,
    /// The listener's set or the recording was disturbed at that moment.
    Disturbed,
    /// The carrier never dropped at this step.
    NoDrop,
}

/// What a recording or a table gave.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trials {
    /// Trials in the order of time or of the table.
    pub trials: Vec<Trial>,
    /// What does not count, in the order of time.
    pub excluded: Vec<Excluded>,
}

/// Back-offs closer than this are one level, in dB: attenuators have no finer steps.
const SAME_LEVEL_DB: f64 = 1e-6;

/// Adds trials up level by level, lowest back-off first.
#[must_use]
pub fn levels(trials: &[Trial]) -> Vec<Level> {
    let mut sorted = trials.to_vec();
    sorted.sort_by(|a, b| a.backoff.total_cmp(&b.backoff));
    let mut levels: Vec<Level> = Vec::new();
    for trial in sorted {
        let came_back = u32::from(trial.came_back);
        match levels.last_mut() {
            Some(last) if (trial.backoff - last.backoff).get() < SAME_LEVEL_DB => {
                last.trials += 1;
                last.came_back += came_back;
            }
            _ => levels.push(Level {
                backoff: trial.backoff,
                trials: 1,
                came_back,
            }),
        }
    }
    levels
}
