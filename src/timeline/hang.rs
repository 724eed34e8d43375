//! The hang timer from the tails: the value around which they crowd.

use super::transmissions::Over;
use super::types::HangTime;
use crate::units::Seconds;

/// Tails within this of each other, or within [`TOGETHER_SHARE`] of their length, are one value.
const TOGETHER_S: f64 = 0.05;
/// A crystal timer does not wander; a resistor-capacitor one does by some percent (common
/// practice, no source).
const TOGETHER_SHARE: f64 = 0.03;
/// A tail whose start is not marked by the repeater's squelch tail counts this much.
const UNMARKED_WEIGHT: f64 = 0.35;
/// Shortest tail that is a hang time at all, seconds.
const SHORTEST_S: f64 = 0.1;
/// Longest, seconds (common practice, no source).
const LONGEST_S: f64 = 15.0;

/// The hang time, if tails agree on one or a single one is well marked.
pub fn estimate(overs: &[Over]) -> Option<HangTime> {
    // (tail, weight, standard deviation)
    let mut tails: Vec<(f64, f64, f64)> = overs
        .iter()
        .filter(|o| o.end_known)
        .filter_map(|o| {
            let loss = o.losses.last()?;
            let tail = (o.end.t - loss.edge.t).get();
            let sd = loss.edge.sd.get().hypot(o.end.sd.get());
            let weight = if loss.burst.is_some() {
                1.0
            } else {
                UNMARKED_WEIGHT
            };
            (SHORTEST_S..LONGEST_S)
                .contains(&tail)
                .then_some((tail, weight, sd))
        })
        .collect();
    tails.sort_by(|a, b| a.0.total_cmp(&b.0));
    let width = |tail: f64| TOGETHER_S.max(TOGETHER_SHARE * tail);
    let (mut best, mut weight) = (0..0, 0.0);
    let mut to = 0;
    for from in 0..tails.len() {
        to = to.max(from);
        while to < tails.len() && tails[to].0 - tails[from].0 <= width(tails[from].0) {
            to += 1;
        }
        let sum: f64 = tails[from..to].iter().map(|t| t.1).sum();
        if sum > weight {
            weight = sum;
            best = from..to;
        }
    }
    let group = &tails[best];
    let count = group.len();
    let total: f64 = tails.iter().map(|t| t.1).sum();
    let agreed = weight >= 1.3 && weight >= 0.3 * total;
    let single = tails.len() == 1 && weight >= 1.0;
    if count == 0 || !(agreed || single) {
        return None;
    }
    let median = if count % 2 == 1 {
        group[count / 2].0
    } else {
        0.5 * (group[count / 2 - 1].0 + group[count / 2].0)
    };
    let spread = group.iter().map(|t| (t.0 - median).powi(2)).sum::<f64>() / count as f64;
    let own = group.iter().map(|t| t.2.powi(2)).sum::<f64>() / count as f64;
    // Standard error of a median of n: 1.25 sd / sqrt(n); the edges' own 5 ms never averages out.
    let half = 1.96 * (1.25f64.powi(2) * (spread + own) / count as f64 + 0.004f64.powi(2)).sqrt();
    Some(HangTime {
        estimate: Seconds(median),
        low: Seconds((median - half).max(0.0)),
        high: Seconds(median + half),
        count,
    })
}
