//! Lilliefors' test: are these intervals exponential, their mean unknown?
//!
//! The plain Kolmogorov-Smirnov p is wrong here, since the fitted mean pulls the curve towards
//! the data: Proschan's 30 intervals would pass with p = 0.11 where the right p is 0.02.

use super::exponential_table::{CHANCES, CRITICAL};
use super::quantiles::sorted;
use super::spread::mean;

/// Result of the test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExponentialFit {
    /// Largest distance between the empirical and the fitted distribution.
    pub distance: f64,
    /// Chance of a distance this large if the intervals are exponential, between 0.001 and
    /// 0.999: beyond those ends of the table the end itself is given.
    pub p: f64,
}

/// Lilliefors (1969). `None` for fewer than three intervals, a negative one, or all zero.
#[must_use]
pub fn lilliefors_exponential(intervals: &[f64]) -> Option<ExponentialFit> {
    let values = sorted(intervals);
    if values.len() < 3 || values.len() != intervals.len() || values[0] < 0.0 {
        return None;
    }
    let centre = mean(&values)?;
    if !(centre > 0.0 && centre.is_finite()) {
        return None;
    }
    let n = values.len() as f64;
    let distance = values.iter().enumerate().fold(0.0f64, |largest, (i, v)| {
        let fitted = -(-v / centre).exp_m1();
        largest
            .max((i as f64 + 1.0) / n - fitted)
            .max(fitted - i as f64 / n)
    });
    Some(ExponentialFit {
        distance,
        p: chance(distance, values.len()),
    })
}

/// Distance that exponential intervals exceed with `chance` (0.001 to 0.999). `None` for fewer
/// than three intervals.
#[must_use]
pub fn critical_distance(count: usize, chance: f64) -> Option<f64> {
    (count >= 3).then_some(())?;
    let row = scaled_critical(count);
    let at = CHANCES
        .iter()
        .position(|c| *c <= chance)
        .unwrap_or(CHANCES.len() - 1)
        .max(1);
    let share = (chance.ln() - CHANCES[at - 1].ln()) / (CHANCES[at].ln() - CHANCES[at - 1].ln());
    let scaled = row[at - 1] + share.clamp(0.0, 1.0) * (row[at] - row[at - 1]);
    Some(scaled / (count as f64).sqrt())
}

/// p by straight lines of `ln p` over distance between the columns of the table.
fn chance(distance: f64, count: usize) -> f64 {
    let scaled = distance * (count as f64).sqrt();
    let row = scaled_critical(count);
    let Some(above) = row.iter().position(|critical| *critical > scaled) else {
        return CHANCES[CHANCES.len() - 1];
    };
    if above == 0 {
        return CHANCES[0];
    }
    let share = (scaled - row[above - 1]) / (row[above] - row[above - 1]);
    let (from, to) = (CHANCES[above - 1].ln(), CHANCES[above].ln());
    (from + share * (to - from)).exp()
}

/// The table's row for any size: `D sqrt(n)` runs nearly straight over `1/sqrt(n)`, also beyond
/// the last size.
fn scaled_critical(count: usize) -> [f64; CHANCES.len()] {
    let x = 1.0 / (count as f64).sqrt();
    let last = CRITICAL.len() - 1;
    let upper = CRITICAL
        .iter()
        .position(|(n, _)| *n as usize >= count)
        .unwrap_or(last)
        .max(1);
    let (from, to) = (&CRITICAL[upper - 1], &CRITICAL[upper]);
    let (x0, x1) = (1.0 / f64::from(from.0).sqrt(), 1.0 / f64::from(to.0).sqrt());
    let share = (x - x0) / (x1 - x0);
    std::array::from_fn(|i| from.1[i] + share * (to.1[i] - from.1[i]))
}
