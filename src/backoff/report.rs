//! Trials to the whole report.

use super::advice::{Advice, advise};
use super::bracket::{Bracket, bracket};
use super::estimate::{CrossCheck, Estimate, NoEstimate, cross_check, estimate};
use super::trials::{Level, Trials, levels};
use crate::error::{Error, Result};
use crate::site::cost::{Cost, CostQuestion, Slope, cost};
use crate::statistics::dose_response::Link;
use crate::units::{Decibels, Hertz, Watts};

/// What the tester knows or wants besides the trials.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BackoffOptions {
    /// Squelch hysteresis: opening minus closing threshold.
    pub hysteresis: Option<Decibels>,
    /// Curve of the estimate.
    pub link: Link,
    /// A user's radiated power.
    pub erp: Option<Watts>,
    /// Path-loss exponent.
    pub slope: Slope,
    /// Band.
    pub frequency: Option<Hertz>,
    /// Desense that would be tolerated.
    pub target: Option<Decibels>,
}

impl Default for BackoffOptions {
    fn default() -> Self {
        Self {
            hysteresis: None,
            link: Link::Probit,
            erp: None,
            slope: Slope::Usual,
            frequency: None,
            target: None,
        }
    }
}

/// Bracket and estimate with the hysteresis added: the desense itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corrected {
    /// What was added.
    pub hysteresis: Decibels,
    /// Low end of the bracket.
    pub at_least: Option<Decibels>,
    /// High end of the bracket.
    pub less_than: Option<Decibels>,
    /// Estimate.
    pub estimate: Option<Decibels>,
    /// Low end of the interval.
    pub low: Option<Decibels>,
    /// High end of the interval.
    pub high: Option<Decibels>,
}

/// What the cost was worked out for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CostBasis {
    /// The raw estimate.
    Estimate,
    /// The raw bracket's low end: the cost is at least this.
    AtLeast,
}

/// Everything that the stepped test tells.
#[derive(Debug, Clone, PartialEq)]
pub struct BackoffReport {
    /// Trials and what does not count.
    pub trials: Trials,
    /// Trials level by level.
    pub levels: Vec<Level>,
    /// Straight from the outcomes.
    pub bracket: Bracket,
    /// The half-way back-off, or why there is none.
    pub estimate: Result<Estimate, NoEstimate>,
    /// A second opinion without a curve.
    pub cross_check: Option<CrossCheck>,
    /// With the hysteresis, where it is known.
    pub corrected: Option<Corrected>,
    /// What to do next.
    pub advice: Option<Advice>,
    /// What the raw figure costs, and of which raw figure.
    pub cost: Option<(Cost, CostBasis)>,
}

/// Most hysteresis that a squelch has; beyond it a typing error is likelier.
const MOST_HYSTERESIS_DB: f64 = 20.0;

/// Works the report out.
///
/// # Errors
/// An option that makes no sense.
pub fn report(trials: Trials, options: &BackoffOptions) -> Result<BackoffReport> {
    if let Some(h) = options
        .hysteresis
        .filter(|h| !(0.0..=MOST_HYSTERESIS_DB).contains(&h.get()))
    {
        return Err(Error::BadSetting {
            place: "hysteresis".into(),
            what: format!("{} dB cannot be", h.get()),
            remedy: "state opening threshold minus closing threshold, 0 to 20 dB".into(),
        });
    }
    let levels = levels(&trials.trials);
    let bracket = bracket(&levels);
    let estimate = estimate(&levels, options.link);
    let advice = advise(&levels, &bracket, estimate.as_ref().ok());
    let basis = match (&estimate, bracket.at_least) {
        (Ok(e), _) => Some((e.middle, CostBasis::Estimate)),
        (Err(_), Some(low)) => Some((low, CostBasis::AtLeast)),
        (Err(_), None) => None,
    };
    let priced = |(desense, basis): (Decibels, CostBasis)| {
        let question = CostQuestion {
            desense: Decibels(desense.get().max(0.0)),
            erp: options.erp,
            slope: options.slope,
            frequency: options.frequency,
            target: options.target,
        };
        cost(question).map(|cost| (cost, basis))
    };
    Ok(BackoffReport {
        corrected: options
            .hysteresis
            .map(|h| correct(h, &bracket, estimate.as_ref().ok())),
        cross_check: cross_check(&levels),
        cost: basis.map(priced).transpose()?,
        trials,
        levels,
        bracket,
        estimate,
        advice,
    })
}

fn correct(hysteresis: Decibels, bracket: &Bracket, estimate: Option<&Estimate>) -> Corrected {
    let add = |level: Option<Decibels>| level.map(|level| level + hysteresis);
    Corrected {
        hysteresis,
        at_least: add(bracket.at_least),
        less_than: add(bracket.less_than),
        estimate: add(estimate.map(|e| e.middle)),
        low: add(estimate.and_then(|e| e.low)),
        high: add(estimate.and_then(|e| e.high)),
    }
}
