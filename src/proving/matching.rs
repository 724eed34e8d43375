//! One-to-one matching of found events with true ones.
//!
//! An event counts as found when it lies within a stated collar of a true one, and each is used
//! once. The matching has the largest possible number of pairs; among those with as many pairs,
//! instants are paired with the least total error, so that timing errors are not made worse by
//! an unlucky choice. Definition of event-based scores: Mesaros, Heittola & Virtanen,
//! Appl. Sci. 6(6):162, 2016 (seen).

use crate::units::{Instant, Seconds};

/// A true event and the found one that it was given, by position in the two lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pair {
    /// Position in the list of true events.
    pub truth: usize,
    /// Position in the list of found events.
    pub found: usize,
}

/// An event with a length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Begin.
    pub onset: Instant,
    /// End.
    pub offset: Instant,
}

/// When two spans count as the same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpanRule {
    /// Largest distance of the onsets.
    pub collar: Seconds,
    /// What is asked of the offsets; `None` asks nothing.
    pub offset: Option<OffsetRule>,
}

/// The offset may miss by the collar or by a share of the true length, whichever is more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OffsetRule {
    /// Share of the true length, 0 to 1.
    pub share_of_length: f64,
}

impl SpanRule {
    fn accepts(&self, truth: &Span, found: &Span) -> bool {
        let onset_fits = (truth.onset - found.onset).0.abs() <= self.collar.0;
        let offset_fits = self.offset.is_none_or(|rule| {
            let length_s = (truth.offset - truth.onset).0;
            let allowed_s = self.collar.0.max(rule.share_of_length * length_s);
            (truth.offset - found.offset).0.abs() <= allowed_s
        });
        onset_fits && offset_fits
    }
}

/// Pairs instants that lie within `collar` of each other: as many pairs as possible, then the
/// least sum of distances. Lists may be in any order; the pairs come in order of true time.
#[must_use]
pub fn match_instants(truth: &[Instant], found: &[Instant], collar: Seconds) -> Vec<Pair> {
    let truth = in_order_of_time(truth);
    let found = in_order_of_time(found);
    let mut pairs = Vec::new();
    let (mut t, mut f) = (0, 0);
    while t < truth.len() && f < found.len() {
        let (t_end, f_end) = end_of_cluster(&truth, &found, t, f, collar);
        pairs.extend(match_cluster(&truth[t..t_end], &found[f..f_end], collar));
        (t, f) = (t_end, f_end);
    }
    pairs
}

/// An instant with its position in the caller's list.
type Placed = (usize, Instant);

fn in_order_of_time(list: &[Instant]) -> Vec<Placed> {
    let mut placed: Vec<Placed> = list.iter().copied().enumerate().collect();
    placed.sort_by(|a, b| a.1.total_cmp(&b.1));
    placed
}

/// Ends of the run of instants of both lists in which no step is longer than the collar: no pair
/// can reach across such a step, so that each run is matched for itself.
fn end_of_cluster(
    truth: &[Placed],
    found: &[Placed],
    mut t: usize,
    mut f: usize,
    collar: Seconds,
) -> (usize, usize) {
    let mut last: Option<Instant> = None;
    loop {
        let from_truth = match (truth.get(t), found.get(f)) {
            (Some(a), Some(b)) => a.1.total_cmp(&b.1).is_le(),
            (Some(_), None) => true,
            (None, Some(_)) => false,
            (None, None) => return (t, f),
        };
        let next = if from_truth { truth[t].1 } else { found[f].1 };
        if last.is_some_and(|last| (next - last).0 > collar.0) {
            return (t, f);
        }
        last = Some(next);
        if from_truth {
            t += 1;
        } else {
            f += 1;
        }
    }
}

/// Best number of pairs and their total error so far; more pairs beat less error.
#[derive(Clone, Copy)]
struct Best {
    pairs: usize,
    error_s: f64,
}

impl Best {
    const NONE: Self = Self {
        pairs: 0,
        error_s: 0.0,
    };

    fn beats(self, other: Self) -> bool {
        self.pairs > other.pairs || (self.pairs == other.pairs && self.error_s < other.error_s)
    }
}

/// On a line an optimal matching needs no crossing pairs, so that a table over prefixes finds it.
fn match_cluster(truth: &[Placed], found: &[Placed], collar: Seconds) -> Vec<Pair> {
    let width = found.len() + 1;
    let mut table = vec![Best::NONE; (truth.len() + 1) * width];
    let paired = |table: &[Best], t: usize, f: usize| -> Option<Best> {
        let error_s = (truth[t].1 - found[f].1).0.abs();
        let before = table[t * width + f];
        (error_s <= collar.0).then(|| Best {
            pairs: before.pairs + 1,
            error_s: before.error_s + error_s,
        })
    };
    for t in 0..truth.len() {
        for f in 0..found.len() {
            let (skip_truth, skip_found) = (table[t * width + f + 1], table[(t + 1) * width + f]);
            let mut best = if skip_found.beats(skip_truth) {
                skip_found
            } else {
                skip_truth
            };
            if let Some(with_pair) = paired(&table, t, f).filter(|pair| pair.beats(best)) {
                best = with_pair;
            }
            table[(t + 1) * width + f + 1] = best;
        }
    }
    let mut pairs = Vec::new();
    let (mut t, mut f) = (truth.len(), found.len());
    while t > 0 && f > 0 {
        let here = table[t * width + f];
        if !here.beats(table[(t - 1) * width + f]) {
            t -= 1;
        } else if !here.beats(table[t * width + f - 1]) {
            f -= 1;
        } else {
            (t, f) = (t - 1, f - 1);
            pairs.push(Pair {
                truth: truth[t].0,
                found: found[f].0,
            });
        }
    }
    pairs.reverse();
    pairs
}

/// Pairs spans that `rule` accepts, as many as possible, by augmenting paths (any textbook on
/// bipartite matching). The pairs come in order of the list of true spans.
#[must_use]
pub fn match_spans(truth: &[Span], found: &[Span], rule: &SpanRule) -> Vec<Pair> {
    let fits: Vec<Vec<usize>> = truth
        .iter()
        .map(|t| {
            (0..found.len())
                .filter(|&f| rule.accepts(t, &found[f]))
                .collect()
        })
        .collect();
    let mut owner: Vec<Option<usize>> = vec![None; found.len()];
    for t in 0..truth.len() {
        let mut tried = vec![false; found.len()];
        claim(t, &fits, &mut owner, &mut tried);
    }
    let mut pairs: Vec<Pair> = owner
        .iter()
        .enumerate()
        .filter_map(|(found, owner)| owner.map(|truth| Pair { truth, found }))
        .collect();
    pairs.sort_unstable();
    pairs
}

/// Gives `t` a found span, moving earlier owners to others where they can.
fn claim(t: usize, fits: &[Vec<usize>], owner: &mut [Option<usize>], tried: &mut [bool]) -> bool {
    for &f in &fits[t] {
        if std::mem::replace(&mut tried[f], true) {
            continue;
        }
        if owner[f].is_none_or(|other| claim(other, fits, owner, tried)) {
            owner[f] = Some(t);
            return true;
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(times: &[f64]) -> Vec<Instant> {
        times.iter().copied().map(Instant).collect()
    }

    fn spans(list: &[(f64, f64)]) -> Vec<Span> {
        list.iter()
            .map(|&(onset, offset)| Span {
                onset: Instant(onset),
                offset: Instant(offset),
            })
            .collect()
    }

    fn as_tuples(pairs: &[Pair]) -> Vec<(usize, usize)> {
        pairs.iter().map(|pair| (pair.truth, pair.found)).collect()
    }

    #[test]
    fn nothing_matches_nothing() {
        assert_eq!(match_instants(&[], &[], Seconds(1.0)), vec![]);
        assert_eq!(match_instants(&at(&[1.0]), &[], Seconds(1.0)), vec![]);
        assert_eq!(match_instants(&[], &at(&[1.0]), Seconds(1.0)), vec![]);
    }

    #[test]
    fn the_collar_includes_its_edge_and_nothing_beyond() {
        let truth = at(&[1.0]);
        assert_eq!(match_instants(&truth, &at(&[1.25]), Seconds(0.25)).len(), 1);
        assert_eq!(match_instants(&truth, &at(&[0.75]), Seconds(0.25)).len(), 1);
        assert_eq!(
            match_instants(&truth, &at(&[1.2501]), Seconds(0.25)).len(),
            0
        );
    }

    #[test]
    fn one_found_event_cannot_serve_two_true_ones() {
        let pairs = match_instants(&at(&[1.0, 1.1]), &at(&[1.04]), Seconds(0.2));
        assert_eq!(as_tuples(&pairs), [(0, 0)]);
    }

    /// Nearest-first would pair 1.0 with 1.2 (distance 0.2) and leave 1.5 and 0.75 alone.
    #[test]
    fn more_pairs_beat_nearer_pairs() {
        let pairs = match_instants(&at(&[1.0, 1.5]), &at(&[0.75, 1.2]), Seconds(0.32));
        assert_eq!(as_tuples(&pairs), [(0, 0), (1, 1)]);
    }

    /// Both choices give one pair; the nearer one must be taken although it comes second.
    #[test]
    fn among_as_many_pairs_the_least_error_wins() {
        let pairs = match_instants(&at(&[1.0]), &at(&[0.85, 1.02, 1.1]), Seconds(0.2));
        assert_eq!(as_tuples(&pairs), [(0, 1)]);
    }

    #[test]
    fn lists_may_be_out_of_order() {
        let pairs = match_instants(&at(&[5.0, 1.0, 3.0]), &at(&[3.1, 5.1, 1.1]), Seconds(0.2));
        assert_eq!(as_tuples(&pairs), [(1, 2), (2, 0), (0, 1)]);
    }

    #[test]
    fn not_a_number_matches_nothing() {
        let pairs = match_instants(&at(&[1.0, f64::NAN]), &at(&[f64::NAN, 1.0]), Seconds(9.0));
        assert_eq!(as_tuples(&pairs), [(0, 1)]);
    }

    /// Truth a accepts only x; truth b accepts x and y and comes first: b must give way.
    #[test]
    fn spans_move_over_for_each_other() {
        let truth = spans(&[(1.0, 2.0), (0.8, 2.0)]);
        let found = spans(&[(0.95, 2.0), (1.15, 2.0)]);
        let rule = SpanRule {
            collar: Seconds(0.16),
            offset: None,
        };
        assert_eq!(
            as_tuples(&match_spans(&truth, &found, &rule)),
            [(0, 1), (1, 0)]
        );
    }

    /// Truth of 2 s may miss its offset by half of that; truth of 0.3 s by the collar only.
    #[test]
    fn long_spans_may_miss_their_end_by_more() {
        let rule = SpanRule {
            collar: Seconds(0.2),
            offset: Some(OffsetRule {
                share_of_length: 0.5,
            }),
        };
        let hit = |truth, found| match_spans(&spans(&[truth]), &spans(&[found]), &rule).len();
        assert_eq!(hit((5.0, 7.0), (5.1, 6.2)), 1);
        assert_eq!(hit((9.0, 9.3), (9.05, 9.6)), 0);
    }
}
