//! What the measures say of each cause: its probability, what each kind of evidence adds, and how both
//! are fitted to labelled recordings.

use super::measures::Measures;
use super::trees::{self, Sums, Trees, softmax};
use super::verdict::{Cause, EvidenceKind};
use crate::tuning::cause::PRIORS;
use serde::{Deserialize, Serialize};

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

    /// log10 odds that one kind adds for `cause` against all others, weighted by their prior.
    #[must_use]
    pub fn log10_odds(&self, kind: EvidenceKind, cause: Cause) -> f64 {
        let row = &self.0.kinds[kind.index()];
        let own = row[cause.index()];
        let (mut others, mut prior) = (0.0, 0.0);
        for (i, score) in row.iter().enumerate().filter(|(i, _)| *i != cause.index()) {
            others += PRIORS[i] * (score - own).exp();
            prior += PRIORS[i];
        }
        (prior / others).log10()
    }
}

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

    fn kept() -> Vec<(Cause, Measures)> {
        serde_json::from_str(include_str!("../../corpus/fit-measures.json")).unwrap()
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

    #[test]
    fn what_the_kinds_add_is_the_whole_of_what_moves_the_prior() {
        let tables = shipped();
        let base = tables.weigh(&[None; KINDS]).0.base;
        for (_, measures) in kept().iter().step_by(50) {
            let weighed = tables.weigh(measures);
            assert_eq!(weighed.0.base, base);
            assert!((weighed.posterior().iter().sum::<f64>() - 1.0).abs() < 1e-9);
        }
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
        assert!(weighed.log10_odds(EvidenceKind::GapRegularity, Cause::SelfDesense) > 1.0);
        let other = tables.weigh(&case(1).1);
        assert!(other.posterior()[Cause::HandKeying.index()] > 0.9);
        assert!(
            other
                .log10_odds(EvidenceKind::BlipLength, Cause::HandKeying)
                .abs()
                < 1e-9
        );
    }

    #[test]
    fn without_any_evidence_the_prior_stays() {
        let posterior = fit(&[]).weigh(&[None; KINDS]).posterior();
        for (p, prior) in posterior.iter().zip(PRIORS) {
            assert!((p - prior).abs() < 1e-9);
        }
    }
}
