//! Counts of found, spurious and missed events, and how far off the found ones were.

use super::matching::{Pair, match_instants};
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
}

impl EventTally {
    /// Matches `found` with `truth` within `collar`.
    #[must_use]
    pub fn of(truth: &[Instant], found: &[Instant], collar: Seconds) -> Self {
        let pairs = match_instants(truth, found, collar);
        let error = |pair: &Pair| found[pair.found] - truth[pair.truth];
        Self {
            counts: Counts::of(truth.len(), found.len(), pairs.len()),
            errors: pairs.iter().map(error).collect(),
        }
    }
}

impl EventTally {
    /// As [`EventTally::of`], but found events that belong to none of `truth` and lie within the
    /// collar of one of `open` are not counted at all (each of `open` excuses one).
    #[must_use]
    pub fn of_known(
        truth: &[Instant],
        open: &[Instant],
        found: &[Instant],
        collar: Seconds,
    ) -> Self {
        let pairs = match_instants(truth, found, collar);
        let mut left: Vec<Instant> = Vec::new();
        for (index, &instant) in found.iter().enumerate() {
            if !pairs.iter().any(|pair| pair.found == index) {
                left.push(instant);
            }
        }
        let excused = match_instants(open, &left, collar).len();
        let mut tally = Self::of(truth, found, collar);
        tally.counts.spurious -= excused;
        tally
    }
}

impl AddAssign<&Self> for EventTally {
    fn add_assign(&mut self, other: &Self) {
        self.counts += other.counts;
        self.errors.extend_from_slice(&other.errors);
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
        let found = at(&[1.0, 4.98, 5.01, 9.0]);
        let tally = EventTally::of_known(&at(&[1.0]), &at(&[5.0]), &found, Seconds(0.05));
        let counts = Counts {
            hits: 1,
            spurious: 2,
            missed: 0,
        };
        assert_eq!(tally.counts, counts);
        // A true event is never excused away, though an open moment lies beside it.
        let tally = EventTally::of_known(&at(&[1.0]), &at(&[1.01]), &at(&[1.0]), Seconds(0.05));
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
