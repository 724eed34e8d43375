//! The back-off at which it comes back half of the time.

use super::trials::Level;
use crate::statistics::Interval;
use crate::statistics::dose_response::bayes::{Direction, MidpointPosterior, SpreadPrior};
use crate::statistics::dose_response::profile::{Likelihood, profile_midpoint};
use crate::statistics::dose_response::{DoseGroup, FitFailure, Link, fit_ml};
use crate::statistics::spearman_karber::spearman_karber;
use crate::tuning::site as tuned;
use crate::units::Decibels;

/// How the estimate was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Normal thresholds, maximum likelihood, profile-likelihood interval.
    Probit,
    /// Logistic thresholds, maximum likelihood, profile-likelihood interval.
    Logit,
    /// Normal thresholds with a prior on their scatter, posterior median and interval: the levels
    /// part the outcomes, so that maximum likelihood has no answer.
    ProbitWithPrior,
}

/// The estimate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The half-way back-off.
    pub middle: Decibels,
    /// Low end of the 95 % interval; `None` where the trials put no bound.
    pub low: Option<Decibels>,
    /// High end.
    pub high: Option<Decibels>,
    /// Scatter of the threshold from trial to trial; `None` where the trials do not tell it.
    pub scatter: Option<Decibels>,
    /// How it was made.
    pub method: Method,
}

/// Why there is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoEstimate {
    /// No trial counts.
    NoTrials,
    /// It came back every time.
    AllCameBack,
    /// It came back no time.
    NoneCameBack,
    /// There is only one level.
    OneLevel,
    /// It came back as often or more often the further the signal was lowered.
    WrongWay,
}

/// A cross-check that needs no curve: Spearman-Karber's mean and its standard error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrossCheck {
    /// Mean threshold.
    pub mean: Decibels,
    /// Standard error, where there were repeats and they differ: repeats that are all alike tell
    /// nothing of it.
    pub error: Option<Decibels>,
}

fn groups(levels: &[Level]) -> Vec<DoseGroup> {
    levels
        .iter()
        .map(|l| DoseGroup {
            dose: l.backoff.get(),
            trials: l.trials,
            responses: l.came_back,
        })
        .collect()
}

/// Estimates from levels sorted by back-off.
///
/// # Errors
/// The trials allow no estimate.
pub fn estimate(levels: &[Level], link: Link) -> Result<Estimate, NoEstimate> {
    let groups = groups(levels);
    match fit_ml(&groups, link) {
        Ok(fit) if fit.slope < 0.0 => {
            let ends = profile_midpoint(&groups, &fit, Likelihood::Plain, tuned::CONFIDENCE);
            Ok(Estimate {
                middle: Decibels(fit.midpoint()),
                low: ends.low.map(Decibels),
                high: ends.high.map(Decibels),
                scatter: Some(Decibels(fit.spread())),
                method: if link == Link::Probit {
                    Method::Probit
                } else {
                    Method::Logit
                },
            })
        }
        Ok(_) | Err(FitFailure::Flat | FitFailure::NotSettled) => Err(NoEstimate::WrongWay),
        Err(FitFailure::OneOutcome) => Err(one_outcome(levels)),
        Err(FitFailure::Parted) if wrong_way(levels) => Err(NoEstimate::WrongWay),
        Err(FitFailure::Parted) => {
            let posterior = posterior(levels).ok_or(NoEstimate::NoTrials)?;
            let ends = posterior.interval(tuned::CONFIDENCE);
            Ok(Estimate {
                middle: Decibels(posterior.median()),
                low: Some(Decibels(ends.low)),
                high: Some(Decibels(ends.high)),
                scatter: None,
                method: Method::ProbitWithPrior,
            })
        }
    }
}

/// Belief about the threshold after these trials: flat over the tested levels and a margin,
/// scatter by the prior in [`tuned`]. `None` without levels.
#[must_use]
pub fn posterior(levels: &[Level]) -> Option<MidpointPosterior> {
    let (first, last) = (levels.first()?, levels.last()?);
    let margin = tuned::BACKOFF_MARGIN_DB.max((last.backoff - first.backoff).get());
    let range = Interval {
        low: first.backoff.get() - margin,
        high: last.backoff.get() + margin,
    };
    let prior = SpreadPrior {
        median: tuned::THRESHOLD_SCATTER_DB,
        factor: tuned::THRESHOLD_SCATTER_FACTOR,
    };
    MidpointPosterior::new(
        &groups(levels),
        Link::Probit,
        Direction::Falling,
        range,
        prior,
    )
}

/// Spearman-Karber over the levels; `None` where they do not run from always to never.
#[must_use]
pub fn cross_check(levels: &[Level]) -> Option<CrossCheck> {
    let result = spearman_karber(&groups(levels))?;
    let repeats = levels.iter().all(|level| level.trials > 1);
    let error = result
        .standard_error
        .filter(|error| repeats && *error > 0.0)
        .map(Decibels);
    Some(CrossCheck {
        mean: Decibels(result.mean),
        error,
    })
}

fn one_outcome(levels: &[Level]) -> NoEstimate {
    let (trials, back) = levels.iter().fold((0, 0), |(n, k), level| {
        (n + level.trials, k + level.came_back)
    });
    match back {
        _ if trials == 0 => NoEstimate::NoTrials,
        0 => NoEstimate::NoneCameBack,
        all if all == trials => NoEstimate::AllCameBack,
        _ => NoEstimate::OneLevel,
    }
}

/// Parted, but with the outcomes that came back at the greater back-offs.
fn wrong_way(levels: &[Level]) -> bool {
    let share = |level: &Level| f64::from(level.came_back) / f64::from(level.trials);
    match (levels.first(), levels.last()) {
        (Some(first), Some(last)) => share(first) < share(last),
        _ => false,
    }
}
