//! Counts of found, spurious and missed events, and how far off the found ones were.

use super::matching::{Pair, match_instants};
use crate::statistics::calibration::Forecast;
use crate::units::{Instant, Seconds};
use serde::{Deserialize, Serialize};
use std::ops::AddAssign;

/// Outcome of matching one list with another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Counts {
    /// True events that were found.
    pub hits: usize,
    /// Found events that are not there.
    pub spurious: usize,
    /// True events that were not found.
    pub missed: usize,
}

impl Counts {
    /// From the lengths of both lists and the number of pairs.
    #[must_use]
    pub const fn of(truth: usize, found: usize, pairs: usize) -> Self {
        Self {
            hits: pairs,
            spurious: found - pairs,
            missed: truth - pairs,
        }
    }

    /// `hits / found`; `None` where nothing was found.
    #[must_use]
    pub fn precision(self) -> Option<f64> {
        ratio(self.hits, self.hits + self.spurious)
    }

    /// `hits / true events`; `None` where there are none.
    #[must_use]
    pub fn recall(self) -> Option<f64> {
        ratio(self.hits, self.hits + self.missed)
    }

    /// `2 hits / (2 hits + spurious + missed)`; `None` where both lists are empty.
    #[must_use]
    pub fn f1(self) -> Option<f64> {
        ratio(2 * self.hits, 2 * self.hits + self.spurious + self.missed)
    }

    /// `(spurious + missed) / true events` of one class; `None` where there are none.
    #[must_use]
    pub fn error_rate(self) -> Option<f64> {
        ratio(self.spurious + self.missed, self.hits + self.missed)
    }
}

fn ratio(part: usize, whole: usize) -> Option<f64> {
    (whole > 0).then(|| part as f64 / whole as f64)
}

impl AddAssign for Counts {
    fn add_assign(&mut self, other: Self) {
        self.hits += other.hits;
        self.spurious += other.spurious;
        self.missed += other.missed;
    }
}

/// Counts, and the signed timing error (found minus true) of each hit.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct EventTally {
    /// Found, spurious, missed.
    pub counts: Counts,
    /// Found minus true, for each hit.
    pub errors: Vec<Seconds>,
    /// For each found event that counts: its stated confidence, and whether it was there.
    #[serde(skip)]
    pub forecasts: Vec<Forecast>,
}

impl EventTally {
    /// Matches `found` with `truth` within `collar`.
    #[must_use]
    pub fn of(truth: &[Instant], found: &[Instant], collar: Seconds) -> Self {
        Self::of_pairs(truth, found, &match_instants(truth, found, collar))
    }

    fn of_pairs(truth: &[Instant], found: &[Instant], pairs: &[Pair]) -> Self {
        let error = |pair: &Pair| found[pair.found] - truth[pair.truth];
        Self {
            counts: Counts::of(truth.len(), found.len(), pairs.len()),
            errors: pairs.iter().map(error).collect(),
            forecasts: Vec::new(),
        }
    }
}

impl EventTally {
    /// As [`EventTally::of`], of events with their confidences, but found events that belong to
    /// none of `truth` and lie within the collar of one of `open` are not counted at all (each of
    /// `open` excuses one).
    #[must_use]
    pub fn of_known(
        truth: &[Instant],
        open: &[Instant],
        found: &[(Instant, f64)],
        collar: Seconds,
    ) -> Self {
        let instants: Vec<Instant> = found.iter().map(|(t, _)| *t).collect();
        let pairs = match_instants(truth, &instants, collar);
        let mut there = vec![false; found.len()];
        for pair in &pairs {
            there[pair.found] = true;
        }
        let left: Vec<usize> = (0..found.len()).filter(|i| !there[*i]).collect();
        let spare: Vec<Instant> = left.iter().map(|i| instants[*i]).collect();
        let mut counts = vec![true; found.len()];
        for pair in match_instants(open, &spare, collar) {
            counts[left[pair.found]] = false;
        }
        let mut tally = Self::of_pairs(truth, &instants, &pairs);
        tally.counts.spurious -= counts.iter().filter(|c| !**c).count();
        tally.forecasts = (0..found.len())
            .filter(|i| counts[*i])
            .map(|i| Forecast {
                stated: found[i].1,
                happened: there[i],
            })
            .collect();
        tally
    }
}

impl AddAssign<&Self> for EventTally {
    fn add_assign(&mut self, other: &Self) {
        self.counts += other.counts;
        self.errors.extend_from_slice(&other.errors);
        self.forecasts.extend_from_slice(&other.forecasts);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_hand() {
        let counts = Counts {
            hits: 2,
            spurious: 3,
            missed: 2,
        };
        assert_eq!(counts.precision(), Some(0.4));
        assert_eq!(counts.recall(), Some(0.5));
        assert_eq!(counts.f1(), Some(4.0 / 9.0));
        assert_eq!(counts.error_rate(), Some(1.25));
    }

    #[test]
    fn empty_lists_have_no_score() {
        let none = Counts::default();
        assert_eq!(
            (none.precision(), none.recall(), none.f1()),
            (None, None, None)
        );
        let only_spurious = Counts::of(0, 3, 0);
        assert_eq!(
            (only_spurious.precision(), only_spurious.f1()),
            (Some(0.0), Some(0.0))
        );
        assert_eq!(only_spurious.recall(), None);
    }

    #[test]
    fn errors_are_found_minus_true() {
        let truth = [Instant(1.0), Instant(2.0)];
        let found = [Instant(1.03125), Instant(1.96875), Instant(7.0)];
        let tally = EventTally::of(&truth, &found, Seconds(0.05));
        assert_eq!(
            tally.counts,
            Counts {
                hits: 2,
                spurious: 1,
                missed: 0
            }
        );
        assert_eq!(tally.errors, [Seconds(0.03125), Seconds(-0.03125)]);
    }

    /// One true event; of three others found, two lie by the one open moment, which excuses one.
    #[test]
    fn what_cannot_be_known_excuses_one_found_event() {
        let at = |times: &[f64]| times.iter().copied().map(Instant).collect::<Vec<_>>();
        let sure = |times: &[f64]| {
            times
                .iter()
                .map(|t| (Instant(*t), 0.75))
                .collect::<Vec<_>>()
        };
        let found = sure(&[1.0, 4.98, 5.01, 9.0]);
        let tally = EventTally::of_known(&at(&[1.0]), &at(&[5.0]), &found, Seconds(0.05));
        let counts = Counts {
            hits: 1,
            spurious: 2,
            missed: 0,
        };
        assert_eq!(tally.counts, counts);
        let there: Vec<bool> = tally.forecasts.iter().map(|f| f.happened).collect();
        assert_eq!(there, [true, false, false]);
        // A true event is never excused away, though an open moment lies beside it.
        let tally = EventTally::of_known(&at(&[1.0]), &at(&[1.01]), &sure(&[1.0]), Seconds(0.05));
        assert_eq!((tally.counts.hits, tally.counts.spurious), (1, 0));
    }

    #[test]
    fn tallies_add_up() {
        let mut sum = EventTally::of(&[Instant(1.0)], &[Instant(1.0)], Seconds(0.05));
        sum += &EventTally::of(&[Instant(1.0)], &[Instant(3.0)], Seconds(0.05));
        assert_eq!(
            sum.counts,
            Counts {
                hits: 1,
                spurious: 1,
                missed: 1
            }
        );
        assert_eq!(sum.errors, [Seconds(0.0)]);
    }
}
