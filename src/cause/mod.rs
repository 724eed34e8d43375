//! A timeline to a [`Verdict`](verdict::Verdict): trials, regularity, competing causes as
//! probability models, decision with abstention, the one next step.

pub mod verdict;

use crate::timeline::types::Timeline;
use crate::units::Seconds;
use verdict::{Label, NextStep, Verdict};

/// Judges.
#[must_use]
pub fn judge(timeline: &Timeline, hang: Option<Seconds>) -> Verdict {
    let _ = (timeline, hang);
    Verdict {
        label: Label::Inconclusive,
        probability: 0.1,
        posterior: [0.1; 10],
        evidence: Vec::new(),
        next_step: NextStep::RecordLonger,
        notes: Vec::new(),
        rekey: None,
        episodes: Vec::new(),
    }
}
