//! Tables of how probable each binned value is under each cause, and how much each kind of
//! evidence weighs: their shape, their use, and their fitting from labelled recordings.

use super::measures::Measures;
use super::verdict::{Cause, EvidenceKind};
use crate::tuning::cause::{PRIORS, SURPRISE};
use serde::{Deserialize, Serialize};

/// Number of causes.
pub const CAUSES: usize = Cause::ALL.len();
/// Number of kinds of evidence.
pub const KINDS: usize = EvidenceKind::ALL.len();

/// Upper edges of the bins of each kind; a last bin is open, and one more holds "not measurable".
#[must_use]
pub fn edges(kind: EvidenceKind) -> &'static [f64] {
    match kind {
        EvidenceKind::CameBackFraction => &[0.01, 0.2, 0.45, 0.7, 0.88, 0.99],
        EvidenceKind::GapRegularity => &[0.03, 0.08, 0.15, 0.3, 0.55, 0.9],
        EvidenceKind::GapLength => &[0.06, 0.12, 0.25, 0.45, 0.7, 1.0],
        EvidenceKind::OnRegularity => &[0.01, 0.03, 0.07, 0.15, 0.3, 0.6],
        EvidenceKind::PeriodRegularity => &[0.01, 0.03, 0.07, 0.15, 0.3, 0.6],
        EvidenceKind::TailMatch => &[0.05, 0.3, 0.55, 0.8, 0.95],
        EvidenceKind::BlipLength => &[0.06, 0.15, 0.3, 0.6, 1.0, 2.0, 5.0],
        EvidenceKind::LongestRun => &[0.5, 3.5, 5.5, 8.5, 14.5],
        EvidenceKind::UserNoise => &[-30.0, -22.0, -16.0, -11.0, -7.0, -4.0],
        EvidenceKind::NoiseSwings => &[0.01, 0.1, 0.3, 0.8, 2.0],
        EvidenceKind::TailNoise => &[-40.0, -30.0, -22.0, -15.0, -10.0],
        EvidenceKind::TailUnrest => &[1.0, 1.6, 2.5, 4.0, 6.0],
        EvidenceKind::CutWithoutTail => &[0.01, 0.2, 0.5, 0.8],
        EvidenceKind::LongestOver => &[1.0, 2.5, 5.0, 9.0, 18.0, 40.0],
        EvidenceKind::LongestAlike => &[0.01, 0.05, 0.15, 0.35],
        EvidenceKind::Modulated => &[0.05, 0.15, 0.3, 0.5, 0.7],
        EvidenceKind::Tones => &[0.01, 0.3, 0.7, 1.2, 3.0],
        EvidenceKind::RepeaterBursts => &[0.01, 0.25, 0.6, 0.9],
        EvidenceKind::RepeaterLikeness => &[0.5, 2.0, 6.0, 15.0, 35.0, 80.0],
        EvidenceKind::StatedFact => &[0.2, 0.5, 0.8],
    }
}

/// The bin of a value.
#[must_use]
pub fn bin(kind: EvidenceKind, value: Option<f64>) -> usize {
    let edges = edges(kind);
    match value {
        Some(v) => edges.iter().position(|e| v < *e).unwrap_or(edges.len()),
        None => edges.len() + 1,
    }
}

/// Fitted tables.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tables {
    /// For each kind, for each bin ("not measurable" last), the probability under each cause.
    pub chances: Vec<Vec<[f64; CAUSES]>>,
    /// Weight of each kind, 0 to 1: below 1 where kinds tell the same thing twice.
    pub weights: [f64; KINDS],
}

impl Tables {
    /// Probability of each cause.
    #[must_use]
    pub fn posterior(&self, measures: &Measures) -> [f64; CAUSES] {
        let mut log: [f64; CAUSES] = PRIORS.map(f64::ln);
        for kind in EvidenceKind::ALL {
            let row = self.row(kind, measures);
            for (sum, chance) in log.iter_mut().zip(row) {
                *sum += self.weights[kind.index()] * chance.ln();
            }
        }
        softmax(&log)
    }

    /// log10 odds that one kind adds for `cause` against all others, weighted by their prior.
    #[must_use]
    pub fn log10_odds(&self, kind: EvidenceKind, measures: &Measures, cause: Cause) -> f64 {
        let row = self.row(kind, measures);
        let (mut others, mut prior) = (0.0, 0.0);
        for (i, chance) in row.iter().enumerate().filter(|(i, _)| *i != cause.index()) {
            others += PRIORS[i] * chance;
            prior += PRIORS[i];
        }
        self.weights[kind.index()] * (row[cause.index()] * prior / others).log10()
    }

    fn row(&self, kind: EvidenceKind, measures: &Measures) -> &[f64; CAUSES] {
        &self.chances[kind.index()][bin(kind, measures[kind.index()])]
    }
}

fn softmax(log: &[f64; CAUSES]) -> [f64; CAUSES] {
    let top = log.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let raw = log.map(|l| (l - top).exp());
    let sum: f64 = raw.iter().sum();
    raw.map(|r| r / sum)
}

/// Fits tables to labelled recordings.
///
/// Chances are counts, smoothed over neighbouring bins, with half a count added to each bin and
/// [`SURPRISE`] mixed in. Weights minimise the log loss (each cause as heavy as its prior) by
/// gradient descent on chances counted *without* the recording at hand, pulled towards 0.5 by
/// a ridge, so that evidence which says the same thing twice is not counted twice.
#[must_use]
pub fn fit(cases: &[(Cause, Measures)]) -> Tables {
    let counts = count(cases);
    let chances: Vec<Vec<[f64; CAUSES]>> = EvidenceKind::ALL
        .iter()
        .map(|k| smooth(&counts[k.index()]))
        .collect();
    let mut totals = [0.0f64; CAUSES];
    cases.iter().for_each(|(c, _)| totals[c.index()] += 1.0);
    // Leave-one-out log chances of each case, each kind, each cause.
    let logs: Vec<Vec<[f64; CAUSES]>> = cases
        .iter()
        .map(|(cause, measures)| {
            EvidenceKind::ALL
                .iter()
                .map(|kind| {
                    let b = bin(*kind, measures[kind.index()]);
                    let mut own = counts[kind.index()].clone();
                    own[b][cause.index()] -= 1.0;
                    smooth(&own)[b].map(f64::ln)
                })
                .collect()
        })
        .collect();
    let mut weights = [0.5f64; KINDS];
    let (steps, rate, ridge) = (400, 0.6, 0.02);
    for _ in 0..steps {
        let mut slope = [0.0f64; KINDS];
        for ((cause, _), case) in cases.iter().zip(&logs) {
            let mut log: [f64; CAUSES] = PRIORS.map(f64::ln);
            for (k, row) in case.iter().enumerate() {
                for (sum, l) in log.iter_mut().zip(row) {
                    *sum += weights[k] * l;
                }
            }
            let posterior = softmax(&log);
            let share = PRIORS[cause.index()] / totals[cause.index()];
            for (k, row) in case.iter().enumerate() {
                let expected: f64 = row.iter().zip(&posterior).map(|(l, p)| l * p).sum();
                slope[k] += share * (row[cause.index()] - expected);
            }
        }
        for (w, s) in weights.iter_mut().zip(slope) {
            *w = (*w + rate * (s - ridge * (*w - 0.5))).clamp(0.0, 1.2);
        }
    }
    Tables { chances, weights }
}

type Counts = Vec<Vec<[f64; CAUSES]>>;

fn count(cases: &[(Cause, Measures)]) -> Counts {
    let mut counts: Counts = EvidenceKind::ALL
        .iter()
        .map(|k| vec![[0.0; CAUSES]; edges(*k).len() + 2])
        .collect();
    for (cause, measures) in cases {
        for kind in EvidenceKind::ALL {
            counts[kind.index()][bin(kind, measures[kind.index()])][cause.index()] += 1.0;
        }
    }
    counts
}

fn smooth(counts: &[[f64; CAUSES]]) -> Vec<[f64; CAUSES]> {
    let measured = counts.len() - 1;
    let mut out = vec![[0.0; CAUSES]; counts.len()];
    for cause in 0..CAUSES {
        for b in 0..measured {
            let left = if b > 0 {
                counts[b - 1][cause]
            } else {
                counts[b][cause]
            };
            let right = if b + 1 < measured {
                counts[b + 1][cause]
            } else {
                counts[b][cause]
            };
            out[b][cause] = 0.7 * counts[b][cause] + 0.15 * (left + right) + 0.5;
        }
        out[measured][cause] = counts[measured][cause] + 0.5;
        let sum: f64 = out.iter().map(|row| row[cause]).sum();
        let bins = counts.len() as f64;
        for row in &mut out {
            row[cause] = (1.0 - SURPRISE) * row[cause] / sum + SURPRISE / bins;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kept() -> Vec<(Cause, Measures)> {
        serde_json::from_str(include_str!("../../corpus/fit-measures.json")).unwrap()
    }

    #[test]
    fn the_shipped_tables_are_what_the_kept_measures_give() {
        let shipped: Tables =
            serde_json::from_str(include_str!("../tuning/cause_tables.json")).unwrap();
        let made = fit(&kept());
        for kind in EvidenceKind::ALL {
            let k = kind.index();
            assert!(
                (shipped.weights[k] - made.weights[k]).abs() < 1e-9,
                "{kind:?}"
            );
            for (a, b) in shipped.chances[k].iter().zip(&made.chances[k]) {
                for (x, y) in a.iter().zip(b) {
                    assert!((x - y).abs() < 1e-9, "{kind:?}");
                }
            }
        }
    }

    #[test]
    fn chances_of_each_cause_sum_to_one_over_the_bins() {
        for rows in &fit(&kept()).chances {
            for cause in 0..CAUSES {
                let sum: f64 = rows.iter().map(|row| row[cause]).sum();
                assert!((sum - 1.0).abs() < 1e-9, "{sum}");
            }
        }
    }

    #[test]
    fn without_any_evidence_the_prior_stays() {
        let tables = fit(&[]);
        let posterior = tables.posterior(&[None; KINDS]);
        for (p, prior) in posterior.iter().zip(PRIORS) {
            assert!((p - prior).abs() < 1e-9);
        }
    }
}
