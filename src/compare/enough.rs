//! How many drops would be enough.

use crate::statistics::counts_2x2::{Side, fisher_exact};
use crate::tuning::compare::{MOST_FURTHER_DROPS, SIGNIFICANT};

/// Came back, and trials.
pub type Outcomes = (u64, u64);

/// Two-sided p value of Fisher's exact test that both sets come back equally often.
#[must_use]
pub fn same_share(before: Outcomes, after: Outcomes) -> f64 {
    fisher_exact([row(before), row(after)], Side::TwoSided)
}

/// One-sided p value: a difference this large towards fewer returns afterwards.
#[must_use]
pub fn no_fewer(before: Outcomes, after: Outcomes) -> f64 {
    fisher_exact([row(before), row(after)], Side::Greater)
}

const fn row((came_back, trials): Outcomes) -> [u64; 2] {
    [came_back, trials - came_back]
}

/// Least number of further drops afterwards, none of them coming back, after which the share has
/// fallen beyond what chance does (`SIGNIFICANT`, two-sided). 0 where it has already; `None` where
/// so many would be needed that nobody waits for them, or where there was nothing to fall.
#[must_use]
pub fn further_drops(before: Outcomes, after: Outcomes) -> Option<u64> {
    let fallen = |more: u64| {
        let after = (after.0, after.1 + more);
        let lower =
            u128::from(after.0) * u128::from(before.1) < u128::from(before.0) * u128::from(after.1);
        lower && same_share(before, after) <= SIGNIFICANT
    };
    if before.0 == 0 {
        return None;
    }
    (0..=MOST_FURTHER_DROPS).find(|more| fallen(*more))
}
