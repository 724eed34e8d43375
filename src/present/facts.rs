//! The few numbers that sentences and tables are made of, picked from a [`Check`] once.

use crate::check::Check;
use crate::statistics::quantiles::median;
use crate::timeline::types::{HangTime, ListeningMode};
use crate::tuning::present as limit;
use crate::units::{Decibels, Seconds};

/// Numbers of one check; `None` where the recording does not tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Facts {
    /// Length of the recording.
    pub duration: Seconds,
    /// How it was listened to.
    pub mode: ListeningMode,
    /// Transmissions heard.
    pub transmissions: usize,
    /// Carrier drops heard.
    pub drops: usize,
    /// Drops whose outcome was observable.
    pub trials: usize,
    /// Of these, how many came back within the latency window.
    pub came_back: usize,
    /// Median silence before coming back.
    pub gap_median: Option<Seconds>,
    /// Its coefficient of variation.
    pub gap_cv: Option<f64>,
    /// Median key-up to key-up.
    pub period_median: Option<Seconds>,
    /// Its coefficient of variation.
    pub period_cv: Option<f64>,
    /// The controller's hang time.
    pub hang: Option<HangTime>,
    /// Median time from key-up to the loss of the user, over the drops that came back.
    pub blip_median: Option<Seconds>,
    /// Median quieting of the user just before the loss.
    pub quieting_median: Option<Decibels>,
    /// Drops that told a quieting.
    pub quieting_count: usize,
    /// Longest transmission.
    pub longest_on: Option<Seconds>,
}

impl Facts {
    /// The beat, where it came back often and evenly enough for one.
    #[must_use]
    pub fn beat(&self) -> Option<Seconds> {
        let even = self
            .period_cv
            .is_none_or(|cv| cv <= limit::ROUGHLY_ALIKE_CV);
        self.period_median
            .filter(|_| even && self.came_back >= limit::FEWEST_RETURNS)
    }

    /// Picks them.
    #[must_use]
    pub fn of(check: &Check) -> Self {
        let timeline = &check.timeline;
        let rekey = check.verdict.rekey;
        let blips = timeline.drops.iter().filter(|d| d.came_back == Some(true));
        let quieting = values(
            timeline
                .drops
                .iter()
                .filter_map(|d| d.quieting)
                .map(Decibels::get),
        );
        let on = timeline
            .drops
            .iter()
            .filter_map(|d| d.on)
            .max_by(Seconds::total_cmp);
        Self {
            duration: check.recording.duration,
            mode: timeline.listening.mode,
            transmissions: timeline.carrier.len(),
            drops: timeline.drops.len(),
            trials: rekey.map_or(0, |r| r.trials),
            came_back: rekey.map_or(0, |r| r.came_back),
            gap_median: rekey.and_then(|r| r.gap_median),
            gap_cv: rekey.and_then(|r| r.gap_cv),
            period_median: rekey.and_then(|r| r.period_median),
            period_cv: rekey.and_then(|r| r.period_cv),
            hang: timeline.hang_time,
            blip_median: median(&values(blips.filter_map(|d| d.blip).map(Seconds::get)))
                .map(Seconds),
            quieting_count: quieting.len(),
            quieting_median: median(&quieting).map(Decibels),
            longest_on: on,
        }
    }
}

/// Finite numbers in rising order.
pub(super) fn values(numbers: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut list: Vec<f64> = numbers.filter(|v| v.is_finite()).collect();
    list.sort_by(f64::total_cmp);
    list
}
