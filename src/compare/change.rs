//! What changed between the two sets, and whether chance explains it.

use super::enough::{further_drops, no_fewer, same_share};
use super::tally::Tally;
use crate::backoff::report::BackoffReport;
use crate::statistics::Interval;
use crate::statistics::poisson_rates::{conditional_test, e_test, ratio_interval};
use crate::tuning::compare::SIGNIFICANT;
use crate::tuning::site::CONFIDENCE;
use crate::units::Decibels;

/// What the drops prove.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Finding {
    /// A set has no drop whose outcome is known.
    NoTrials {
        /// That is so before.
        before: bool,
        /// That is so after.
        after: bool,
    },
    /// It came back in neither.
    NeverDid,
    /// It came back before, in no drop after, and the drops are enough to tell.
    Gone,
    /// It comes back less often, but still does.
    Fewer,
    /// In no drop after, but the drops are too few to tell from chance.
    TooFew {
        /// So many more without a return would do; `None`: more than anybody waits for.
        further: Option<u64>,
    },
    /// It still comes back, and no fewer than chance explains.
    StillThere {
        /// So many more without a return would show that it does so less often.
        further: Option<u64>,
    },
    /// It comes back more often than before.
    More,
}

/// The share of drops that come back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShareChange {
    /// What it proves.
    pub finding: Finding,
    /// Fisher's exact test, both directions; `None` without trials.
    pub p_two_sided: Option<f64>,
    /// Fisher's exact test towards fewer returns after.
    pub p_fewer: Option<f64>,
}

/// Cycles per hour of carrier time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateChange {
    /// Cycles an hour before.
    pub before_per_hour: f64,
    /// Cycles an hour after.
    pub after_per_hour: f64,
    /// Exact conditional test, both directions.
    pub p_two_sided: f64,
    /// The E-test, both directions.
    pub p_e_test: Option<f64>,
    /// 95 % interval of the rate after over the rate before; `None` without any cycle. The high
    /// end is infinite where there was none before.
    pub ratio: Option<Interval>,
}

/// The stepped tests.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DesenseChange {
    /// What they prove.
    pub finding: DesenseFinding,
    /// The estimate before minus that after, where there are both.
    pub fell_by: Option<Decibels>,
    /// At least this, by the ends of both 95 % intervals (which is more than 95 % sure).
    pub fell_low: Option<Decibels>,
    /// At most this.
    pub fell_high: Option<Decibels>,
}

/// What the stepped tests prove.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DesenseFinding {
    /// A test has no trial that counts.
    NoTrials,
    /// It came back at some step before and at none after.
    NoneLeft {
        /// Least step at which it stayed down after.
        below: Option<Decibels>,
    },
    /// It came back in neither.
    NoneEither,
    /// The bracket after lies below that before.
    Lower {
        /// By at least this.
        at_least: Decibels,
    },
    /// The bracket after lies above that before.
    Higher {
        /// By at least this.
        at_least: Decibels,
    },
    /// The brackets overlap.
    Overlap,
}

/// Compares the shares.
#[must_use]
pub fn share(before: &Tally, after: &Tally) -> ShareChange {
    let (b, a) = (
        (before.came_back, before.trials),
        (after.came_back, after.trials),
    );
    if b.1 == 0 || a.1 == 0 {
        return ShareChange {
            finding: Finding::NoTrials {
                before: b.1 == 0,
                after: a.1 == 0,
            },
            p_two_sided: None,
            p_fewer: None,
        };
    }
    let p = same_share(b, a);
    let differs = p <= SIGNIFICANT;
    let lower = before.fraction() > after.fraction();
    let finding = match (b.0, a.0) {
        (0, 0) => Finding::NeverDid,
        (_, 0) if differs => Finding::Gone,
        (_, 0) => Finding::TooFew {
            further: further_drops(b, a),
        },
        _ if differs && lower => Finding::Fewer,
        _ if differs => Finding::More,
        _ => Finding::StillThere {
            further: further_drops(b, a).filter(|_| lower),
        },
    };
    ShareChange {
        finding,
        p_two_sided: Some(p),
        p_fewer: Some(no_fewer(b, a)),
    }
}

/// Compares the rates; `None` where a set has no carrier.
#[must_use]
pub fn rate(before: &Tally, after: &Tally) -> Option<RateChange> {
    let (b, a) = (before.cycles()?, after.cycles()?);
    Some(RateChange {
        before_per_hour: b.events as f64 / b.exposure,
        after_per_hour: a.events as f64 / a.exposure,
        p_two_sided: conditional_test(a, b)?.two_sided,
        p_e_test: e_test(a, b),
        ratio: ratio_interval(a, b, CONFIDENCE),
    })
}

/// Compares the stepped tests; `None` where a set has none.
#[must_use]
pub fn desense(before: &Tally, after: &Tally) -> Option<DesenseChange> {
    let (b, a) = (before.test.as_ref()?, after.test.as_ref()?);
    let (estimate_b, estimate_a) = (b.estimate.as_ref().ok(), a.estimate.as_ref().ok());
    let both = |x: Option<Decibels>, y: Option<Decibels>| Some(x? - y?);
    Some(DesenseChange {
        finding: brackets(b, a),
        fell_by: both(estimate_b.map(|e| e.middle), estimate_a.map(|e| e.middle)),
        fell_low: both(
            estimate_b.and_then(|e| e.low),
            estimate_a.and_then(|e| e.high),
        ),
        fell_high: both(
            estimate_b.and_then(|e| e.high),
            estimate_a.and_then(|e| e.low),
        ),
    })
}

fn brackets(before: &BackoffReport, after: &BackoffReport) -> DesenseFinding {
    if before.trials.trials.is_empty() || after.trials.trials.is_empty() {
        return DesenseFinding::NoTrials;
    }
    let (b, a) = (&before.bracket, &after.bracket);
    match (b.at_least, a.at_least) {
        (None, None) => DesenseFinding::NoneEither,
        (Some(_), None) => DesenseFinding::NoneLeft { below: a.less_than },
        _ => match (
            beyond(b.at_least, a.less_than),
            beyond(a.at_least, b.less_than),
        ) {
            (Some(at_least), _) => DesenseFinding::Lower { at_least },
            (_, Some(at_least)) => DesenseFinding::Higher { at_least },
            _ => DesenseFinding::Overlap,
        },
    }
}

/// How far the one's low end lies above the other's high end.
fn beyond(low: Option<Decibels>, high: Option<Decibels>) -> Option<Decibels> {
    let (low, high) = (low?, high?);
    (low.get() >= high.get()).then(|| low - high)
}
