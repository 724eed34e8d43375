//! Intervals for scores that have no formula of their own: whole recordings are drawn again with
//! replacement, so that the events of one recording stay together (Efron 1979; percentile
//! interval; from memory).

use super::rules::CONFIDENCE;
use crate::simulate::rng::stream;
use crate::statistics::Interval;
use crate::statistics::quantiles::{quantile_sorted, sorted};
use rand::RngExt;
use serde::Serialize;

/// Number of redrawings: the ends of a 95 % interval then rest on 10 of them each.
const DRAWS: usize = 400;

/// A score with its interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    /// The score itself.
    pub value: f64,
    /// 95 % interval.
    pub interval: Interval,
}

/// The score of `items` and its percentile interval; `None` where the score cannot be had.
/// Drawn by a fixed seed: the same items give the same interval.
pub fn estimate<T>(items: &[T], score: impl Fn(&[&T]) -> Option<f64>) -> Option<Estimate> {
    let all: Vec<&T> = items.iter().collect();
    let value = score(&all)?;
    let mut rng = stream(0, "bootstrap");
    let again: Vec<f64> = (0..DRAWS)
        .filter_map(|_| {
            let drawn: Vec<&T> = (0..all.len())
                .map(|_| all[rng.random_range(0..all.len())])
                .collect();
            score(&drawn)
        })
        .collect();
    let again = sorted(&again);
    let end = |q: f64| quantile_sorted(&again, q).unwrap_or(value);
    let interval = Interval {
        low: end((1.0 - CONFIDENCE) / 2.0),
        high: end((1.0 + CONFIDENCE) / 2.0),
    };
    Some(Estimate { value, interval })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::spread::mean;

    fn mean_of(items: &[&f64]) -> Option<f64> {
        mean(&items.iter().map(|x| **x).collect::<Vec<_>>())
    }

    #[test]
    fn nothing_has_no_score() {
        assert_eq!(estimate(&[], mean_of), None);
    }

    #[test]
    fn alike_items_leave_no_doubt() {
        let estimate = estimate(&[0.5; 20], mean_of).unwrap();
        assert_eq!((estimate.interval.low, estimate.interval.high), (0.5, 0.5));
    }

    /// The mean of 100 coin tosses has a standard error of 0.05: 95 % within about 0.098.
    #[test]
    fn the_interval_of_a_mean_is_about_two_standard_errors_wide() {
        let tosses: Vec<f64> = (0..100).map(|i| f64::from(i % 2)).collect();
        let estimate = estimate(&tosses, mean_of).unwrap();
        assert_eq!(estimate.value, 0.5);
        assert!(
            (estimate.interval.width() / 2.0 - 0.098).abs() < 0.02,
            "{estimate:?}"
        );
    }
}
