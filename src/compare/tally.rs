//! One set, added up.

use super::evidence::{Content, Exhibit, Heard, SteppedTest};
use crate::backoff::report::{BackoffOptions, BackoffReport, report};
use crate::backoff::trials::Trials;
use crate::error::Result;
use crate::statistics::Interval;
use crate::statistics::poisson_rates::Counted;
use crate::statistics::proportion::{clopper_pearson, wilson, zero_of_n_upper};
use crate::statistics::quantiles::{median, median_interval};
use crate::timeline::types::HangTime;
use crate::tuning::site::CONFIDENCE;
use crate::units::{Decibels, Seconds};

/// A set in numbers; `None` where it does not tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Tally {
    /// Recordings in it.
    pub recordings: usize,
    /// Their length together.
    pub duration: Seconds,
    /// Time with the carrier up.
    pub carrier: Seconds,
    /// Carrier drops.
    pub drops: usize,
    /// Drops whose outcome was observable.
    pub trials: u64,
    /// Of these, how many came back within the latency window.
    pub came_back: u64,
    /// 95 % score interval of the share that comes back.
    pub wilson: Option<Interval>,
    /// Exact 95 % interval of the same.
    pub exact: Option<Interval>,
    /// Where none came back: with 95 % confidence the share is no greater than this.
    pub upper_bound: Option<f64>,
    /// Silence before it came straight back.
    pub gap: Option<Middle>,
    /// Key-up to key-up of those that came straight back.
    pub period: Option<Middle>,
    /// Quieting of the user just before the loss, dB.
    pub quieting: Option<Middle>,
    /// Hang time over all recordings.
    pub hang: Option<HangTime>,
    /// All stepped tests of the set as one.
    pub test: Option<BackoffReport>,
}

/// A median with its distribution-free 95 % interval (order statistics), where the values are
/// enough for one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Middle {
    /// The median.
    pub median: f64,
    /// Its interval.
    pub interval: Option<Interval>,
    /// Values.
    pub count: usize,
}

impl Tally {
    /// Cycles (drops that came straight back) in hours of carrier time; `None` without carrier.
    #[must_use]
    pub fn cycles(&self) -> Option<Counted> {
        let hours = self.carrier.get() / 3600.0;
        (hours > 0.0 && hours.is_finite()).then_some(Counted {
            events: self.came_back,
            exposure: hours,
        })
    }

    /// Share of the drops that came straight back.
    #[must_use]
    pub fn fraction(&self) -> Option<f64> {
        (self.trials > 0).then(|| self.came_back as f64 / self.trials as f64)
    }

    /// Drops whose outcome the recordings do not tell.
    #[must_use]
    pub fn untold(&self) -> usize {
        self.drops.saturating_sub(self.trials as usize)
    }
}

/// Everything heard in a set.
pub fn heard(set: &[Exhibit]) -> impl Iterator<Item = &Heard> {
    set.iter()
        .flat_map(|e| &e.content)
        .filter_map(Content::heard)
}

/// Trials of a recording and how many came straight back.
#[must_use]
pub fn outcomes(heard: &Heard) -> (u64, u64) {
    let told = heard.drops.iter().filter_map(|d| d.came_back);
    told.fold((0, 0), |(n, k), back| (n + 1, k + u64::from(back)))
}

/// Adds a set up.
///
/// # Errors
/// A hysteresis that cannot be.
pub fn tally(set: &[Exhibit]) -> Result<Tally> {
    let recordings: Vec<&Heard> = heard(set).collect();
    let (trials, came_back) = (recordings.iter().map(|h| outcomes(h)))
        .fold((0, 0), |(n, k), (more, back)| (n + more, k + back));
    let drops = || recordings.iter().flat_map(|h| &h.drops);
    let back = || drops().filter(|d| d.came_back == Some(true));
    let total = |of: fn(&Heard) -> Seconds| Seconds(recordings.iter().map(|h| of(h).get()).sum());
    let none_of = (came_back == 0).then(|| zero_of_n_upper(trials, CONFIDENCE));
    Ok(Tally {
        recordings: recordings.len(),
        duration: total(|h| h.duration),
        carrier: total(|h| h.carrier),
        drops: drops().count(),
        trials,
        came_back,
        wilson: wilson(came_back, trials, CONFIDENCE),
        exact: clopper_pearson(came_back, trials, CONFIDENCE),
        upper_bound: none_of.flatten(),
        gap: middle(back().filter_map(|d| d.gap).map(Seconds::get)),
        period: middle(back().filter_map(|d| d.period()).map(Seconds::get)),
        quieting: middle(drops().filter_map(|d| d.quieting).map(Decibels::get)),
        hang: hang(&recordings),
        test: test(set)?,
    })
}

fn middle(values: impl Iterator<Item = f64>) -> Option<Middle> {
    let values: Vec<f64> = values.filter(|v| v.is_finite()).collect();
    Some(Middle {
        median: median(&values)?,
        interval: median_interval(&values, CONFIDENCE),
        count: values.len(),
    })
}

/// The mean weighted by tails; from the lowest of the low ends to the highest of the high ends, so
/// that recordings which disagree make it wide.
fn hang(recordings: &[&Heard]) -> Option<HangTime> {
    let told: Vec<HangTime> = recordings
        .iter()
        .filter_map(|h| h.hang)
        .filter(|h| h.count > 0 && h.estimate.get().is_finite())
        .collect();
    let count: usize = told.iter().map(|h| h.count).sum();
    let weighted = told.iter().map(|h| h.estimate.get() * h.count as f64);
    Some(HangTime {
        estimate: Seconds(weighted.sum::<f64>() / count as f64),
        low: told.iter().map(|h| h.low).min_by(Seconds::total_cmp)?,
        high: told.iter().map(|h| h.high).max_by(Seconds::total_cmp)?,
        count,
    })
}

/// All stepped tests of a set in one report. The hysteresis counts where all that state one agree.
fn test(set: &[Exhibit]) -> Result<Option<BackoffReport>> {
    let tests: Vec<&SteppedTest> = (set.iter().flat_map(|e| &e.content))
        .filter_map(|content| match content {
            Content::SavedTest(test) => Some(test),
            _ => None,
        })
        .collect();
    if tests.is_empty() {
        return Ok(None);
    }
    let stated: Vec<Decibels> = tests.iter().filter_map(|t| t.hysteresis).collect();
    let agreed = stated.windows(2).all(|pair| pair[0] == pair[1]);
    let trials = tests.iter().flat_map(|t| t.trials.iter().copied());
    let options = BackoffOptions {
        hysteresis: stated.first().copied().filter(|_| agreed),
        ..BackoffOptions::default()
    };
    let trials = Trials {
        trials: trials.collect(),
        excluded: Vec::new(),
    };
    report(trials, &options).map(Some)
}
