//! Which cause was called what.

use super::share::Share;
use crate::cause::verdict::{Cause, Label};
use crate::proving::outcome::{Outcome, Standing};
use crate::proving::tally::Counts;
use crate::statistics::spread::mean;
use serde::Serialize;

/// One cause against all others. Answers that are not wrong are left out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CauseScore {
    /// The cause.
    pub cause: Cause,
    /// Of the recordings called so, those that are.
    pub precision: Option<Share>,
    /// Of the recordings that are so, those called so.
    pub recall: Option<Share>,
    /// F1.
    pub f1: Option<f64>,
}

/// Scores of the causes that occur in truth or answer.
#[must_use]
pub fn cause_scores(outcomes: &[&Outcome]) -> Vec<CauseScore> {
    let score = |cause: Cause| {
        let counts = counts(outcomes, cause);
        CauseScore {
            cause,
            precision: Share::of(counts.hits, counts.hits + counts.spurious),
            recall: Share::of(counts.hits, counts.hits + counts.missed),
            f1: counts.f1(),
        }
    };
    Cause::ALL
        .into_iter()
        .map(score)
        .filter(|score| score.f1.is_some())
        .collect()
}

/// Mean F1 over the causes that the truth has; an inconclusive answer is a miss unless the
/// recording allows it.
pub(super) fn macro_f1(outcomes: &[&Outcome]) -> Option<f64> {
    let in_truth = |cause: &Cause| {
        outcomes
            .iter()
            .any(|o| o.cause == *cause && o.standing() != Standing::NotWrong)
    };
    let scores: Vec<f64> = (Cause::ALL.into_iter().filter(in_truth))
        .filter_map(|cause| counts(outcomes, cause).f1())
        .collect();
    mean(&scores)
}

fn counts(outcomes: &[&Outcome], cause: Cause) -> Counts {
    let mut counts = Counts::default();
    for outcome in outcomes
        .iter()
        .filter(|o| o.standing() != Standing::NotWrong)
    {
        let said = outcome.label() == Some(Label::Cause(cause));
        match (outcome.cause == cause, said) {
            (true, true) => counts.hits += 1,
            (true, false) => counts.missed += 1,
            (false, true) => counts.spurious += 1,
            (false, false) => {}
        }
    }
    counts
}

/// How often each true cause (row) got each answer (column).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Confusion {
    /// Rows in the fixed order of causes, those that occur.
    pub rows: Vec<ConfusionRow>,
}

/// Answers to one true cause.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ConfusionRow {
    /// True cause.
    pub cause: Cause,
    /// Recordings.
    pub recordings: usize,
    /// Counts by cause, in the order of [`Cause::ALL`].
    pub said: [usize; 10],
    /// Answers of "inconclusive".
    pub inconclusive: usize,
    /// No answer.
    pub failed: usize,
    /// Answers, of those above, that are neither right nor wrong.
    pub not_wrong: usize,
    /// Share called by its name, of those right or wrong.
    pub right: Option<Share>,
}

/// Counts every answer, those that are not wrong included.
#[must_use]
pub fn confusion(outcomes: &[&Outcome]) -> Confusion {
    let row = |cause: Cause| {
        let of_cause: Vec<&&Outcome> = outcomes.iter().filter(|o| o.cause == cause).collect();
        let mut row = ConfusionRow {
            cause,
            recordings: of_cause.len(),
            said: [0; 10],
            inconclusive: 0,
            failed: 0,
            not_wrong: of_cause
                .iter()
                .filter(|o| o.standing() == Standing::NotWrong)
                .count(),
            right: None,
        };
        for outcome in &of_cause {
            match outcome.label() {
                Some(Label::Cause(said)) => row.said[said.index()] += 1,
                Some(Label::Inconclusive) => row.inconclusive += 1,
                None => row.failed += 1,
            }
        }
        row.right = Share::of(row.said[cause.index()], row.recordings - row.not_wrong);
        row
    };
    let rows = Cause::ALL
        .into_iter()
        .map(row)
        .filter(|row| row.recordings > 0)
        .collect();
    Confusion { rows }
}
