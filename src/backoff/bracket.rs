//! The raw bracket, and whether the outcomes are in order.

use super::trials::Level;
use crate::statistics::counts_2x2::{Side, fisher_exact};
use crate::units::Decibels;

/// Between which steps the desense lies, straight from the outcomes.
#[derive(Debug, Clone, PartialEq)]
pub struct Bracket {
    /// Greatest back-off up to which it came back; `None` when nothing came back.
    pub at_least: Option<Decibels>,
    /// Least back-off from which on it stayed down; `None` when it came back at the last.
    pub less_than: Option<Decibels>,
    /// Pairs of levels that contradict the order.
    pub disorder: Vec<Disorder>,
}

/// It came back more often at the greater back-off than at the smaller.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Disorder {
    /// The level with less back-off.
    pub smaller: Level,
    /// The level with more back-off, which came back more often.
    pub greater: Level,
    /// Chance of at least such a contradiction if both were alike (Fisher's exact test).
    pub p: f64,
}

/// A level counts as come back when at least half of its trials did.
fn came_back(level: &Level) -> bool {
    2 * level.came_back >= level.trials
}

/// The bracket of levels sorted by back-off. Where the outcomes are out of order it is as wide as
/// the disorder.
#[must_use]
pub fn bracket(levels: &[Level]) -> Bracket {
    let first_stayed = levels
        .iter()
        .position(|l| !came_back(l))
        .unwrap_or(levels.len());
    let after_last_back = levels.iter().rposition(came_back).map_or(0, |i| i + 1);
    let any_back = levels.iter().find(|l| l.came_back > 0);
    let at_least = match first_stayed.checked_sub(1) {
        Some(last) => Some(levels[last].backoff),
        // It stayed down at the very first level, but came back at some other.
        None => any_back.map(|level| level.backoff),
    };
    let mut less_than = levels.get(after_last_back).map(|level| level.backoff);
    if let (Some(low), Some(high)) = (at_least, less_than)
        && high.get() <= low.get()
    {
        less_than = levels
            .iter()
            .map(|l| l.backoff)
            .find(|b| b.get() > low.get());
    }
    Bracket {
        at_least,
        less_than,
        disorder: disorder(levels),
    }
}

fn disorder(levels: &[Level]) -> Vec<Disorder> {
    levels
        .windows(2)
        .filter_map(|pair| {
            let (smaller, greater) = (pair[0], pair[1]);
            // Cross-multiplied shares: exact in whole numbers.
            let out_of_order = u64::from(greater.came_back) * u64::from(smaller.trials)
                > u64::from(smaller.came_back) * u64::from(greater.trials);
            let row = |l: Level| [u64::from(l.came_back), u64::from(l.trials - l.came_back)];
            out_of_order.then(|| Disorder {
                smaller,
                greater,
                p: fisher_exact([row(greater), row(smaller)], Side::Greater),
            })
        })
        .collect()
}
