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

/// The quiet carrier at the end of one transmission.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tail {
    /// Its length, seconds.
    pub length_s: f64,
    /// Its start is marked by the repeater's squelch tail.
    pub marked: bool,
    /// Standard deviation of the length, seconds.
    pub sd_s: f64,
}

impl Tail {
    /// The tail of a transmission, where it may be a hang time.
    pub fn of(over: &Over) -> Option<Self> {
        let loss = over.losses.last().filter(|_| over.end_known)?;
        let length_s = (over.end.t - loss.edge.t).get();
        (SHORTEST_S..LONGEST_S).contains(&length_s).then(|| Self {
            length_s,
            marked: loss.burst.is_some(),
            sd_s: loss.edge.sd.get().hypot(over.end.sd.get()),
        })
    }
}

/// The hang time, if tails agree on one or a single one is well marked.
pub fn estimate(tails: impl Iterator<Item = Tail>) -> Option<HangTime> {
    // (tail, weight, standard deviation)
    let mut tails: Vec<(f64, f64, f64)> = tails
        .map(|tail| {
            let weight = if tail.marked { 1.0 } else { UNMARKED_WEIGHT };
            (tail.length_s, weight, tail.sd_s)
        })
        .collect();
    tails.sort_by(|a, b| a.0.total_cmp(&b.0));
    let width = |tail: f64| TOGETHER_S.max(TOGETHER_SHARE * tail);
    let (mut best, mut weight) = (0..0, 0.0);
    let mut to = 0;
    // Counted, not summed anew at each step: days of one hang time are one wide window.
    let (mut marked, mut unmarked) = (0_u32, 0_u32);
    for from in 0..tails.len() {
        while to < tails.len() && tails[to].0 - tails[from].0 <= width(tails[from].0) {
            *(if tails[to].1 < 1.0 {
                &mut unmarked
            } else {
                &mut marked
            }) += 1;
            to += 1;
        }
        let sum = f64::from(marked) + UNMARKED_WEIGHT * f64::from(unmarked);
        *(if tails[from].1 < 1.0 {
            &mut unmarked
        } else {
            &mut marked
        }) -= 1;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timeline::refine::Edge;
    use crate::timeline::transmissions::Loss;
    use crate::timeline::types::ListeningMode;
    use crate::units::Instant;

    /// The hang time of transmissions of these tails, whose start is marked by the repeater's squelch
    /// tail or not.
    fn estimate(tails: impl Iterator<Item = (f64, bool)>) -> Option<HangTime> {
        super::estimate(overs(tails).filter_map(|over| Tail::of(&over)))
    }

    fn overs(tails: impl Iterator<Item = (f64, bool)>) -> impl Iterator<Item = Over> {
        tails.map(|(tail, marked)| Over {
            start: Edge::plain(Instant(0.0)),
            end: Edge::plain(Instant(1.0 + tail)),
            start_known: true,
            end_known: true,
            segments: 0..0,
            losses: vec![Loss {
                edge: Edge::plain(Instant(1.0)),
                burst: marked.then_some(Seconds(0.1)),
                noise_db: None,
            }],
            listener_burst: None,
            mode: ListeningMode::Squelched,
            gap_heard: true,
        })
    }

    #[test]
    fn the_value_around_which_marked_tails_crowd_is_the_hang_time() {
        let tails = [
            (2.0, true),
            (2.01, true),
            (2.02, true),
            (0.7, false),
            (5.0, false),
        ];
        let found = estimate(tails.into_iter()).unwrap();
        assert!((found.estimate.get() - 2.01).abs() < 1e-9 && found.count == 3);
        // Four without a mark weigh as much as one and a half with it.
        let tails = [(3.0, false); 4].into_iter().chain([(1.0, true)]);
        let found = estimate(tails).unwrap();
        assert!((found.estimate.get() - 3.0).abs() < 1e-9 && found.count == 4);
        assert!(estimate([(1.0, false), (9.0, false)].into_iter()).is_none());
    }

    /// Summed anew at each step, a week of one hang time took minutes.
    #[test]
    fn a_week_of_one_hang_time_takes_no_time() {
        let tails = (0..200_000).map(|n| (2.0 + f64::from(n % 20) * 1e-3, n % 3 > 0));
        let begun = std::time::Instant::now();
        assert_eq!(estimate(tails).unwrap().count, 200_000);
        assert!(begun.elapsed().as_secs() < 20, "{:?}", begun.elapsed());
    }
}
