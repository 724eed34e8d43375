//! One recording, judged.

use super::corpus::Drawn;
use super::rules::{collar, not_wrong, unknowable};
use super::tally::EventTally;
use crate::cause::verdict::{Cause, Label, Verdict};
use crate::simulate::Truth;
use crate::simulate::truth::{Tier, TrueEventKind};
use crate::timeline::types::{EventKind, Timeline};
use crate::units::{Instant, Seconds};

/// What the check said, or why it could not.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// A verdict.
    Said {
        /// The decision.
        label: Label,
        /// Probability of self-desense.
        p_self_desense: f64,
    },
    /// No verdict: the error's text.
    Failed(String),
}

/// One recording with its truth, the answer, and how the events were found.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Name of the recording, `scene@chain:number`.
    pub name: String,
    /// Scene: the family of what happens on the air.
    pub scene: String,
    /// Chain: the kind of listening and recording.
    pub chain: String,
    /// Difficulty.
    pub tier: Tier,
    /// Container, codec and rate.
    pub encoding: String,
    /// True cause.
    pub cause: Cause,
    /// Answers that are not wrong beside it.
    pub not_wrong: Vec<Label>,
    /// What the check said.
    pub answer: Answer,
    /// Key-ups.
    pub key_up: EventTally,
    /// Losses of the input.
    pub input_loss: EventTally,
    /// Carrier drops.
    pub carrier_drop: EventTally,
    /// Hang time.
    pub hang: Hang,
}

/// Hang time, true and found.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Hang {
    /// The timer's setting, where a whole tail could be heard.
    pub truth: Option<Seconds>,
    /// The estimate.
    pub found: Option<Seconds>,
}

/// How an answer is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// The true cause.
    Right,
    /// Not the true cause, but not wrong either: left out of recall, precision and F1.
    NotWrong,
    /// Wrong, or no answer at all.
    Wrong,
}

impl Outcome {
    /// Judges what the check heard (or its error's text) against the truth.
    #[must_use]
    pub fn judge(
        drawn: &Drawn,
        truth: &Truth,
        heard: Result<(&Timeline, &Verdict), String>,
    ) -> Self {
        let collar = collar(truth.tier);
        let tally = |true_kind: TrueEventKind, kind: EventKind| {
            let expected: Vec<Instant> = truth.heard(true_kind).map(|e| Instant(e.t_s)).collect();
            let found: Vec<(Instant, f64)> = match &heard {
                Ok((timeline, _)) => timeline
                    .events
                    .iter()
                    .filter(|e| e.kind == kind)
                    .map(|e| (e.t, e.confidence))
                    .collect(),
                Err(_) => Vec::new(),
            };
            EventTally::of_known(&expected, &unknowable(truth, true_kind), &found, collar)
        };
        let whole_tail = truth.drops.iter().any(|drop| drop.tail_s.is_some());
        Self {
            name: drawn.cell.to_string(),
            scene: drawn.cell.scene.clone(),
            chain: drawn.cell.chain.clone(),
            tier: truth.tier,
            encoding: drawn.encoding.label(),
            cause: truth.cause,
            not_wrong: not_wrong(truth, &drawn.also),
            key_up: tally(TrueEventKind::KeyUp, EventKind::KeyUp),
            input_loss: tally(TrueEventKind::InputLoss, EventKind::InputLoss),
            carrier_drop: tally(TrueEventKind::CarrierDrop, EventKind::CarrierDrop),
            hang: Hang {
                truth: truth.hang_time_s.filter(|_| whole_tail).map(Seconds),
                found: (heard.as_ref().ok())
                    .and_then(|(timeline, _)| timeline.hang_time)
                    .map(|hang| hang.estimate),
            },
            answer: match heard {
                Ok((_, verdict)) => Answer::Said {
                    label: verdict.label,
                    p_self_desense: verdict.posterior[Cause::SelfDesense.index()],
                },
                Err(text) => Answer::Failed(text),
            },
        }
    }

    /// The decision, if there was one.
    #[must_use]
    pub const fn label(&self) -> Option<Label> {
        match self.answer {
            Answer::Said { label, .. } => Some(label),
            Answer::Failed(_) => None,
        }
    }

    /// How the answer is counted.
    #[must_use]
    pub fn standing(&self) -> Standing {
        match self.label() {
            Some(Label::Cause(cause)) if cause == self.cause => Standing::Right,
            Some(label) if self.not_wrong.contains(&label) => Standing::NotWrong,
            _ => Standing::Wrong,
        }
    }

    /// Whether it was called self-desense and is not.
    #[must_use]
    pub fn is_false_alarm(&self) -> bool {
        self.cause != Cause::SelfDesense && self.label() == Some(Label::Cause(Cause::SelfDesense))
    }
}
