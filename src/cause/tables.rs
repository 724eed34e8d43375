//! What the measures say of each cause: its probability, what each kind of evidence adds, and how both
//! are fitted to labelled recordings.

use super::evidence::EvidenceKind;
use super::measures::Measures;
use super::trees::{self, Sums, Trees, softmax};
use super::verdict::Cause;
use serde::{Deserialize, Serialize};
use std::f64::consts::LN_10;

pub use super::trees::{CAUSES, KINDS};

/// What was fitted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tables {
    trees: Trees,
}

/// The measures of one stretch, weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighed(Sums);

impl Weighed {
    /// Probability of each cause.
    #[must_use]
    pub fn posterior(&self) -> [f64; CAUSES] {
        softmax(&self.0.logs())
    }

    /// log10 odds that each kind adds for `cause` against all others: together they are all that
    /// moved its odds. What a kind adds depends on which rivals the other kinds have left over, so
    /// all come in together, little by little, and each is credited with what it does on the way.
    ///
    /// R. J. Aumann and L. S. Shapley, Values of Non-Atomic Games, 1974 (from memory).
    #[must_use]
    pub fn log10_odds(&self, cause: Cause) -> [f64; KINDS] {
        let own = cause.index();
        let mut odds = [0.0; KINDS];
        for step in 0..ODDS_STEPS {
            let part = (step as f64 + 0.5) / ODDS_STEPS as f64;
            let mut rivals = softmax(&self.0.logs_at(part));
            rivals[own] = 0.0;
            let all: f64 = rivals.iter().sum();
            for (odds, row) in odds.iter_mut().zip(&self.0.kinds) {
                let others: f64 = rivals.iter().zip(row).map(|(p, x)| p * x).sum();
                *odds +=
                    (row[own] - others / all.max(f64::MIN_POSITIVE)) / (ODDS_STEPS as f64 * LN_10);
            }
        }
        odds
    }
}

/// Steps in which the evidence comes in: a thousandth of the odds is not missed (tried below).
const ODDS_STEPS: usize = 64;

impl Tables {
    /// Weighs measures.
    #[must_use]
    pub fn weigh(&self, measures: &Measures) -> Weighed {
        Weighed(self.trees.sums(measures))
    }
}

/// Fits to labelled recordings, each as measured and again as if its user had stated nothing.
#[must_use]
pub fn fit(cases: &[(Cause, Measures)]) -> Tables {
    let silent = |(cause, measures): &(Cause, Measures)| {
        let mut measures = *measures;
        measures[EvidenceKind::StatedFact.index()] = None;
        (*cause, measures)
    };
    let both: Vec<(Cause, Measures)> = cases
        .iter()
        .copied()
        .chain(cases.iter().map(silent))
        .collect();
    Tables {
        trees: trees::fit(&both),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tuning::cause::PRIORS;

    fn kept() -> Vec<(Cause, Measures)> {
        let text = include_str!("../../corpus/fit-measures.json");
        // The recording's name, what was true of it, what was measured.
        type Line = (String, Cause, Vec<Option<f64>>);
        let lines: Vec<Line> = serde_json::from_str(text).unwrap();
        let whole = |(_, cause, values): Line| (cause, values.try_into().unwrap());
        lines.into_iter().map(whole).collect()
    }

    fn shipped() -> Tables {
        serde_json::from_str(include_str!("../tuning/cause_tables.json")).unwrap()
    }

    #[test]
    fn the_shipped_tables_are_what_the_kept_measures_give() {
        // Sums of floats may differ in their last bits from machine to machine, and a fork of two equal
        // gains with them: what counts is what they say.
        let (shipped, made) = (shipped(), fit(&kept()));
        for (_, measures) in kept() {
            let (a, b) = (shipped.weigh(&measures), made.weigh(&measures));
            for (x, y) in a.posterior().iter().zip(b.posterior()) {
                assert!((x - y).abs() < 1e-3, "{x} {y}");
            }
        }
    }

    fn log10_odds_of(p: f64) -> f64 {
        (p / (1.0 - p)).log10()
    }

    #[test]
    fn what_the_kinds_add_is_the_whole_of_what_moves_the_odds() {
        let tables = shipped();
        let base = tables.weigh(&[None; KINDS]).0.base;
        let odds = log10_odds_of;
        let mut moved = 0;
        for (cause, measures) in kept().iter().step_by(20) {
            let weighed = tables.weigh(measures);
            assert_eq!(weighed.0.base, base);
            let (before, after) = (softmax(&base), weighed.posterior());
            let whole = odds(after[cause.index()]) - odds(before[cause.index()]);
            let sum: f64 = weighed.log10_odds(*cause).iter().sum();
            assert!(
                (sum - whole).abs() < 1e-3 * whole.abs().max(1.0),
                "{sum} {whole}"
            );
            moved += usize::from(whole > 1.0);
        }
        assert!(moved > 20, "{moved}");
    }

    #[test]
    fn a_kind_that_tells_a_cause_is_learnt_and_one_that_does_not_adds_nothing() {
        let telling = EvidenceKind::GapRegularity.index();
        let case = |i: usize| {
            let own = i.is_multiple_of(2);
            let mut measures: Measures = [None; KINDS];
            measures[telling] = Some(if own { 0.02 } else { 0.5 } + i as f64 * 1e-5);
            let cause = if own {
                Cause::SelfDesense
            } else {
                Cause::HandKeying
            };
            (cause, measures)
        };
        let tables = fit(&(0..200).map(case).collect::<Vec<_>>());
        let weighed = tables.weigh(&case(0).1);
        assert!(weighed.posterior()[Cause::SelfDesense.index()] > 0.95);
        // Nothing else was measured, so nothing else can have moved the odds.
        let odds = |w: &Weighed| w.log10_odds(Cause::SelfDesense)[telling];
        let moved =
            log10_odds_of(weighed.posterior()[0]) - log10_odds_of(softmax(&weighed.0.base)[0]);
        assert!((odds(&weighed) - moved).abs() < 1e-3, "{moved}");
        assert!(odds(&weighed) > 1.0, "{moved}");
        let other = tables.weigh(&case(1).1);
        assert!(other.posterior()[Cause::HandKeying.index()] > 0.9);
        let odds = other.log10_odds(Cause::HandKeying);
        assert!(odds[EvidenceKind::BlipLength.index()].abs() < 1e-9);
    }

    #[test]
    fn without_any_evidence_the_prior_stays() {
        let posterior = fit(&[]).weigh(&[None; KINDS]).posterior();
        for (p, prior) in posterior.iter().zip(PRIORS) {
            assert!((p - prior).abs() < 1e-9);
        }
    }
}
