//! Tables of how probable each binned value is under each cause, and how much each kind of
//! evidence weighs: their shape, their use, and their fitting from labelled recordings.

use super::measures::Measures;
use super::verdict::{Cause, EvidenceKind};
use crate::tuning::cause::{PRIORS, SCORE_RIDGE, SURPRISE};
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
    /// For each kind, for each bin ("not measurable" last), what it adds to the log of each cause's
    /// chance.
    pub scores: Vec<Vec<[f64; CAUSES]>>,
}

impl Tables {
    /// Probability of each cause.
    #[must_use]
    pub fn posterior(&self, measures: &Measures) -> [f64; CAUSES] {
        let mut log: [f64; CAUSES] = PRIORS.map(f64::ln);
        for kind in EvidenceKind::ALL {
            for (sum, score) in log.iter_mut().zip(self.row(kind, measures)) {
                *sum += score;
            }
        }
        softmax(&log)
    }

    /// log10 odds that one kind adds for `cause` against all others, weighted by their prior.
    #[must_use]
    pub fn log10_odds(&self, kind: EvidenceKind, measures: &Measures, cause: Cause) -> f64 {
        let row = self.row(kind, measures);
        let own = row[cause.index()];
        let (mut others, mut prior) = (0.0, 0.0);
        for (i, score) in row.iter().enumerate().filter(|(i, _)| *i != cause.index()) {
            others += PRIORS[i] * (score - own).exp();
            prior += PRIORS[i];
        }
        (prior / others).log10()
    }

    fn row(&self, kind: EvidenceKind, measures: &Measures) -> &[f64; CAUSES] {
        &self.scores[kind.index()][bin(kind, measures[kind.index()])]
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
/// In three steps. Chances of each bin are counts, smoothed over neighbouring bins, with half a
/// count added to each bin and [`SURPRISE`] mixed in. Weights of the kinds minimise the log loss
/// (each cause as heavy as its prior) on chances counted *without* the recording at hand, pulled
/// towards 0.5 by a ridge, so that evidence which says the same thing twice is not counted twice.
/// Last, each bin's score may move away from its weighted log chance, held back by
/// [`SCORE_RIDGE`], where that lowers the same loss: kinds that only together tell two causes
/// apart.
#[must_use]
pub fn fit(cases: &[(Cause, Measures)]) -> Tables {
    let cases = &with_and_without_facts(cases);
    let counts = count(cases);
    let logs = left_out_logs(cases, &counts);
    let shares = shares(cases);
    let weights = fit_weights(cases, &logs, &shares);
    let moves = fit_moves(cases, &logs, &shares, &weights);
    let scores = EvidenceKind::ALL
        .iter()
        .map(|k| {
            let k = k.index();
            let mut rows = smooth(&counts[k]);
            for (row, moved) in rows.iter_mut().zip(&moves[k]) {
                for (chance, by) in row.iter_mut().zip(moved) {
                    *chance = weights[k] * chance.ln() + by;
                }
            }
            if k == EvidenceKind::StatedFact.index() {
                // That nobody stated anything tells nothing.
                rows[bin(EvidenceKind::StatedFact, None)] = [0.0; CAUSES];
            }
            rows
        })
        .collect();
    Tables { scores }
}

/// Each case as measured, and again as if its user had stated nothing.
fn with_and_without_facts(cases: &[(Cause, Measures)]) -> Vec<(Cause, Measures)> {
    let silent = |(cause, measures): &(Cause, Measures)| {
        let mut measures = *measures;
        measures[EvidenceKind::StatedFact.index()] = None;
        (*cause, measures)
    };
    cases
        .iter()
        .copied()
        .chain(cases.iter().map(silent))
        .collect()
}

/// For each case, each kind: the log chance of what was measured under each cause, counted
/// without the case.
type Logs = Vec<Vec<[f64; CAUSES]>>;

fn left_out_logs(cases: &[(Cause, Measures)], counts: &Counts) -> Logs {
    cases
        .iter()
        .map(|(cause, measures)| {
            EvidenceKind::ALL
                .iter()
                .map(|kind| {
                    if *kind == EvidenceKind::StatedFact && measures[kind.index()].is_none() {
                        return [0.0; CAUSES];
                    }
                    let b = bin(*kind, measures[kind.index()]);
                    let mut own = counts[kind.index()].clone();
                    // Both of its forms.
                    let forms = if *kind == EvidenceKind::StatedFact {
                        1.0
                    } else {
                        2.0
                    };
                    own[b][cause.index()] -= forms;
                    smooth(&own)[b].map(f64::ln)
                })
                .collect()
        })
        .collect()
}

/// Weight of each case in the loss: each cause together as heavy as its prior.
fn shares(cases: &[(Cause, Measures)]) -> Vec<f64> {
    let mut totals = [0.0f64; CAUSES];
    cases.iter().for_each(|(c, _)| totals[c.index()] += 1.0);
    cases
        .iter()
        .map(|(c, _)| PRIORS[c.index()] / totals[c.index()])
        .collect()
}

/// Logs of the priors with the weighted log chances of one case.
fn weighted(case: &[[f64; CAUSES]], weights: &[f64; KINDS]) -> [f64; CAUSES] {
    let mut log: [f64; CAUSES] = PRIORS.map(f64::ln);
    for (row, weight) in case.iter().zip(weights) {
        for (sum, l) in log.iter_mut().zip(row) {
            *sum += weight * l;
        }
    }
    log
}

fn fit_weights(cases: &[(Cause, Measures)], logs: &Logs, shares: &[f64]) -> [f64; KINDS] {
    let mut weights = [0.5f64; KINDS];
    let (steps, rate, ridge) = (400, 0.6, 0.02);
    for _ in 0..steps {
        let mut slope = [0.0f64; KINDS];
        for (((cause, _), case), share) in cases.iter().zip(logs).zip(shares) {
            let posterior = softmax(&weighted(case, &weights));
            for (k, row) in case.iter().enumerate() {
                let expected: f64 = row.iter().zip(&posterior).map(|(l, p)| l * p).sum();
                slope[k] += share * (row[cause.index()] - expected);
            }
        }
        for (w, s) in weights.iter_mut().zip(slope) {
            *w = (*w + rate * (s - ridge * (*w - 0.5))).clamp(0.0, 1.2);
        }
    }
    weights
}

/// How far each score moves away from its weighted log chance (gradient descent with momentum).
fn fit_moves(
    cases: &[(Cause, Measures)],
    logs: &Logs,
    shares: &[f64],
    weights: &[f64; KINDS],
) -> Counts {
    let base: Vec<[f64; CAUSES]> = logs.iter().map(|case| weighted(case, weights)).collect();
    let bins: Vec<[usize; KINDS]> = cases
        .iter()
        .map(|(_, m)| EvidenceKind::ALL.map(|kind| bin(kind, m[kind.index()])))
        .collect();
    let silent = (
        EvidenceKind::StatedFact.index(),
        bin(EvidenceKind::StatedFact, None),
    );
    let mut moves = count(&[]);
    let mut speed = count(&[]);
    let (steps, rate, momentum) = (600, 0.2, 0.9);
    for _ in 0..steps {
        let mut slope = count(&[]);
        for (((cause, _), log), (bins, share)) in
            cases.iter().zip(&base).zip(bins.iter().zip(shares))
        {
            let mut log = *log;
            for (k, b) in bins.iter().enumerate() {
                for (sum, by) in log.iter_mut().zip(&moves[k][*b]) {
                    *sum += by;
                }
            }
            let mut wrong = softmax(&log);
            wrong[cause.index()] -= 1.0;
            for (k, b) in bins.iter().enumerate() {
                for (s, w) in slope[k][*b].iter_mut().zip(wrong) {
                    *s += share * w;
                }
            }
        }
        slope[silent.0][silent.1] = [0.0; CAUSES];
        for kind in 0..KINDS {
            for ((row, pace), steep) in moves[kind]
                .iter_mut()
                .zip(&mut speed[kind])
                .zip(&slope[kind])
            {
                for ((x, v), s) in row.iter_mut().zip(pace).zip(steep) {
                    *v = momentum * *v - rate * (s + SCORE_RIDGE * *x);
                    *x += *v;
                }
            }
        }
    }
    moves
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
            for (a, b) in shipped.scores[k].iter().zip(&made.scores[k]) {
                for (x, y) in a.iter().zip(b) {
                    assert!((x - y).abs() < 1e-6, "{kind:?}");
                }
            }
        }
    }

    #[test]
    fn chances_of_each_cause_sum_to_one_over_the_bins() {
        for rows in count(&kept()).iter().map(|rows| smooth(rows)) {
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
