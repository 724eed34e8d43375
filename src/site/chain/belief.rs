//! Belief in each section after the results so far.

use super::station::{Station, TestResult, Trust};

/// Two results that cannot both be right if tests tell the truth and there is one steady fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Contradiction {
    /// Number of the result in which the desense stayed.
    pub stayed: usize,
    /// Number of the result in which it was gone although the load lay as far out or further.
    pub gone: usize,
}

/// Starting belief, from the sections' weights; sums to 1.
#[must_use]
pub fn prior(station: &Station) -> Vec<f64> {
    let total: f64 = station.sections.iter().map(|s| s.weight).sum();
    station.sections.iter().map(|s| s.weight / total).collect()
}

/// Belief after one result (not normalised), and the probability of that result.
#[must_use]
pub fn update(belief: &[f64], result: &TestResult, trust: Trust) -> (Vec<f64>, f64) {
    let (before, beyond) = (
        trust.stays_before(result.looks),
        trust.stays_beyond(result.looks),
    );
    let weigh = |stays: f64| if result.stays { stays } else { 1.0 - stays };
    let after: Vec<f64> = belief
        .iter()
        .enumerate()
        .map(|(i, b)| b * weigh(if i <= result.after { before } else { beyond }))
        .collect();
    let evidence = after.iter().sum();
    (after, evidence)
}

/// Belief after all results, summing to 1; `None` if the results are impossible under `trust`.
#[must_use]
pub fn posterior(station: &Station, trust: Trust) -> Option<Vec<f64>> {
    let mut belief = prior(station);
    for result in &station.results {
        let (after, evidence) = update(&belief, result, trust);
        if evidence <= 0.0 {
            return None;
        }
        belief = after.iter().map(|b| b / evidence).collect();
    }
    Some(belief)
}

/// All pairs of results that contradict each other.
#[must_use]
pub fn contradictions(results: &[TestResult]) -> Vec<Contradiction> {
    let mut list = Vec::new();
    for (stayed, a) in results.iter().enumerate().filter(|(_, r)| r.stays) {
        for (gone, b) in results.iter().enumerate().filter(|(_, r)| !r.stays) {
            if b.after >= a.after {
                list.push(Contradiction { stayed, gone });
            }
        }
    }
    list
}
