//! Scores of a group of recordings.

mod causes;
mod events;
mod forecasts;
mod share;

pub use causes::{CauseScore, Confusion, ConfusionRow, cause_scores, confusion};
pub use events::{EventScore, HangScore, Spread};
pub use forecasts::{ForecastScore, ReliabilityRow};
pub use share::Share;

use super::bootstrap::{Estimate, estimate};
use super::outcome::{Answer, Outcome, Standing};
use crate::cause::verdict::{Cause, Label};
use serde::Serialize;

/// Everything that is measured on a group of recordings; `None` where the group has nothing to
/// measure it on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Scores {
    /// Recordings in the group.
    pub recordings: usize,
    /// Recordings without a verdict; they count as wrong.
    pub failed: usize,
    /// Answers that are neither right nor wrong.
    pub not_wrong: usize,
    /// Decisions for "inconclusive".
    pub inconclusive: usize,
    /// Right answers among those that are right or wrong.
    pub right: Option<Share>,
    /// Self-desense that was called so, among those whose answer is right or wrong.
    pub recall: Option<Share>,
    /// Recordings without self-desense that were called so.
    pub false_alarms: Option<Share>,
    /// Mean F1 over the causes that the group has.
    pub macro_f1: Option<Estimate>,
    /// Each cause.
    pub causes: Vec<CauseScore>,
    /// Key-ups.
    pub key_up: EventScore,
    /// Losses of the input.
    pub input_loss: EventScore,
    /// Carrier drops.
    pub carrier_drop: EventScore,
    /// Hang time.
    pub hang: HangScore,
    /// Probability of self-desense.
    pub forecast: Option<ForecastScore>,
}

impl Scores {
    /// Scores `outcomes`.
    #[must_use]
    pub fn of(outcomes: &[&Outcome]) -> Self {
        let count = |test: &dyn Fn(&Outcome) -> bool| outcomes.iter().filter(|o| test(o)).count();
        let judged = |o: &Outcome| o.standing() != Standing::NotWrong;
        let is_right = |o: &Outcome| o.standing() == Standing::Right;
        let positive = |o: &Outcome| o.cause == Cause::SelfDesense;
        Self {
            recordings: outcomes.len(),
            failed: count(&|o| matches!(o.answer, Answer::Failed(_))),
            not_wrong: count(&|o| !judged(o)),
            inconclusive: count(&|o| o.label() == Some(Label::Inconclusive)),
            right: Share::of(count(&is_right), count(&judged)),
            recall: Share::of(
                count(&|o| positive(o) && is_right(o)),
                count(&|o| positive(o) && judged(o)),
            ),
            false_alarms: Share::of(count(&Outcome::is_false_alarm), count(&|o| !positive(o))),
            macro_f1: estimate(outcomes, |drawn| {
                causes::macro_f1(&drawn.iter().map(|o| **o).collect::<Vec<_>>())
            }),
            causes: cause_scores(outcomes),
            key_up: EventScore::of(outcomes, |o| &o.key_up),
            input_loss: EventScore::of(outcomes, |o| &o.input_loss),
            carrier_drop: EventScore::of(outcomes, |o| &o.carrier_drop),
            hang: HangScore::of(outcomes),
            forecast: ForecastScore::of(outcomes),
        }
    }
}

#[cfg(test)]
mod tests;
