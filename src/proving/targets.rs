//! What the project asks of itself, tier by tier. The page prints it beside what was measured.

use super::scores::{EventScore, Scores, Share};
use crate::simulate::truth::Tier;
use crate::statistics::Interval;

/// Demands on one tier.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Targets {
    /// Recall of self-desense, at least.
    pub recall: f64,
    /// False alarms of self-desense, at most.
    pub false_alarms: f64,
    /// Macro-F1 over causes, at least.
    pub macro_f1: f64,
    /// F1 of key-ups and of carrier drops, at least.
    pub event_f1: f64,
    /// Median timing error of both, at most.
    pub timing_s: f64,
    /// Median error of the hang time, at most.
    pub hang_s: f64,
    /// Brier score of P(self-desense), at most.
    pub brier: f64,
    /// Calibration error of P(self-desense), at most.
    pub calibration: f64,
}

const NEAR: Targets = Targets {
    recall: 0.99,
    false_alarms: 0.005,
    macro_f1: 0.95,
    event_f1: 0.99,
    timing_s: 0.005,
    hang_s: 0.010,
    brier: 0.01,
    calibration: 0.02,
};

const PHONE: Targets = Targets {
    recall: 0.97,
    false_alarms: 0.01,
    macro_f1: 0.88,
    event_f1: 0.95,
    timing_s: 0.020,
    hang_s: 0.040,
    brier: 0.03,
    calibration: 0.04,
};

const HARD: Targets = Targets {
    recall: 0.90,
    false_alarms: 0.01,
    macro_f1: 0.75,
    event_f1: 0.85,
    timing_s: 0.040,
    hang_s: 0.080,
    brier: 0.06,
    calibration: 0.06,
};

/// The demands on `tier`; none on recordings whose gaps were cut out.
#[must_use]
pub const fn targets(tier: Tier) -> Option<Targets> {
    match tier {
        Tier::Line | Tier::Open | Tier::Codec => Some(NEAR),
        Tier::Phone => Some(PHONE),
        Tier::Hard => Some(HARD),
        Tier::Cut => None,
    }
}

/// One demand beside its measurement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Demand {
    /// What is measured.
    pub what: &'static str,
    /// How to print it.
    pub unit: Unit,
    /// What was measured.
    pub measured: Option<f64>,
    /// Its interval.
    pub interval: Option<Interval>,
    /// The bound.
    pub bound: Bound,
}

/// How a number is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// As percent.
    Percent,
    /// As a plain number with three decimals.
    Plain,
    /// As milliseconds.
    Milliseconds,
}

/// Which side is good.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bound {
    /// No less than this.
    AtLeast(f64),
    /// No more than this.
    AtMost(f64),
}

impl Demand {
    /// Whether the measured value is on the good side; `None` where nothing was measured.
    #[must_use]
    pub fn is_met(&self) -> Option<bool> {
        self.measured.map(|value| match self.bound {
            Bound::AtLeast(least) => value >= least,
            Bound::AtMost(most) => value <= most,
        })
    }
}

/// Every demand of `targets` beside its measurement.
#[must_use]
pub fn demands(targets: &Targets, scores: &Scores) -> Vec<Demand> {
    use Bound::{AtLeast, AtMost};
    use Unit::{Milliseconds, Percent, Plain};
    let row = |what, unit, measured: Option<(f64, Option<Interval>)>, bound| Demand {
        what,
        unit,
        measured: measured.map(|(value, _)| value),
        interval: measured.and_then(|(_, interval)| interval),
        bound,
    };
    let share = |share: Option<Share>| share.map(|s| (s.value, Some(s.interval)));
    let f1 = |events: &EventScore| events.f1.map(|e| (e.value, Some(e.interval)));
    let timing = |e: &EventScore| e.error.map(|s| (s.median_s, s.median_interval_s));
    let macro_f1 = scores.macro_f1.map(|e| (e.value, Some(e.interval)));
    let hang = scores.hang.error.map(|s| (s.median_s, s.median_interval_s));
    let brier = scores
        .forecast
        .as_ref()
        .map(|f| (f.brier.value, Some(f.brier.interval)));
    let calibration = (scores.forecast.as_ref()).map(|f| {
        (
            f.calibration_error.value,
            Some(f.calibration_error.interval),
        )
    });
    let (up, drop) = (&scores.key_up, &scores.carrier_drop);
    vec![
        row(
            "self-desense found",
            Percent,
            share(scores.recall),
            AtLeast(targets.recall),
        ),
        row(
            "false alarms",
            Percent,
            share(scores.false_alarms),
            AtMost(targets.false_alarms),
        ),
        row(
            "macro-F1 over causes",
            Plain,
            macro_f1,
            AtLeast(targets.macro_f1),
        ),
        row("key-up F1", Plain, f1(up), AtLeast(targets.event_f1)),
        row(
            "carrier-drop F1",
            Plain,
            f1(drop),
            AtLeast(targets.event_f1),
        ),
        row(
            "key-up timing error, median",
            Milliseconds,
            timing(up),
            AtMost(targets.timing_s),
        ),
        row(
            "carrier-drop timing error, median",
            Milliseconds,
            timing(drop),
            AtMost(targets.timing_s),
        ),
        row(
            "hang-time error, median",
            Milliseconds,
            hang,
            AtMost(targets.hang_s),
        ),
        row(
            "Brier score of P(self-desense)",
            Plain,
            brier,
            AtMost(targets.brier),
        ),
        row(
            "calibration error of P(self-desense)",
            Plain,
            calibration,
            AtMost(targets.calibration),
        ),
    ]
}
