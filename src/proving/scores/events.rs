//! How well events and the hang time were found.

use crate::proving::bootstrap::{Estimate, estimate};
use crate::proving::outcome::Outcome;
use crate::proving::rules::{CONFIDENCE, RELIABILITY_BINS};
use crate::proving::tally::{Counts, EventTally};
use crate::statistics::Interval;
use crate::statistics::calibration::{brier, expected_calibration_error};
use crate::statistics::quantiles::{median, median_interval, quantile};
use serde::Serialize;

/// One kind of event over a group of recordings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EventScore {
    /// Found, spurious, missed.
    pub counts: Counts,
    /// Share of the found ones that are there.
    pub precision: Option<f64>,
    /// Share of those there that were found.
    pub recall: Option<f64>,
    /// F1; the interval draws whole recordings.
    pub f1: Option<Estimate>,
    /// Timing error of the hits.
    pub error: Option<Spread>,
    /// How good the stated confidences are.
    pub confidence: Option<ConfidenceScore>,
}

/// Scores of the confidences of found events.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ConfidenceScore {
    /// Mean squared error.
    pub brier: f64,
    /// Mean distance of stated from observed frequency, over bins of equal width.
    pub calibration_error: f64,
}

/// Sizes of errors in seconds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Spread {
    /// Number of errors.
    pub count: usize,
    /// Median of the signed errors (found minus true).
    pub bias_s: f64,
    /// Median of the sizes.
    pub median_s: f64,
    /// Its 95 % interval; `None` for fewer than six errors.
    pub median_interval_s: Option<Interval>,
    /// 90 % are no larger.
    pub p90_s: f64,
    /// 99 % are no larger.
    pub p99_s: f64,
}

impl Spread {
    fn of(errors_s: &[f64]) -> Option<Self> {
        let sizes: Vec<f64> = errors_s.iter().map(|e| e.abs()).collect();
        Some(Self {
            count: sizes.len(),
            bias_s: median(errors_s)?,
            median_s: median(&sizes)?,
            median_interval_s: median_interval(&sizes, CONFIDENCE),
            p90_s: quantile(&sizes, 0.9)?,
            p99_s: quantile(&sizes, 0.99)?,
        })
    }
}

impl EventScore {
    pub(super) fn of(outcomes: &[&Outcome], pick: impl Fn(&Outcome) -> &EventTally) -> Self {
        let mut sum = EventTally::default();
        for outcome in outcomes {
            sum += pick(outcome);
        }
        let errors_s: Vec<f64> = sum.errors.iter().map(|e| e.get()).collect();
        let f1 = estimate(outcomes, |drawn| {
            let mut counts = Counts::default();
            for outcome in drawn {
                counts += pick(outcome).counts;
            }
            counts.f1()
        });
        Self {
            counts: sum.counts,
            precision: sum.counts.precision(),
            recall: sum.counts.recall(),
            f1,
            error: Spread::of(&errors_s),
            confidence: brier(&sum.forecasts)
                .zip(expected_calibration_error(&sum.forecasts, RELIABILITY_BINS))
                .map(|(brier, calibration_error)| ConfidenceScore {
                    brier,
                    calibration_error,
                }),
        }
    }
}

/// The hang time over a group of recordings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HangScore {
    /// Recordings in which at least one whole tail could be heard.
    pub audible: usize,
    /// Of these, those with an estimate.
    pub estimated: usize,
    /// Estimates where no tail could be heard.
    pub unfounded: usize,
    /// Estimate minus truth.
    pub error: Option<Spread>,
}

impl HangScore {
    pub(super) fn of(outcomes: &[&Outcome]) -> Self {
        let hangs = || outcomes.iter().map(|o| o.hang);
        let errors_s: Vec<f64> = hangs()
            .filter_map(|hang| Some((hang.found? - hang.truth?).get()))
            .collect();
        Self {
            audible: hangs().filter(|hang| hang.truth.is_some()).count(),
            estimated: errors_s.len(),
            unfounded: hangs()
                .filter(|h| h.truth.is_none() && h.found.is_some())
                .count(),
            error: Spread::of(&errors_s),
        }
    }
}
