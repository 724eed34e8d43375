//! Profile-likelihood interval of the half-way dose: all midpoints for which the best slope
//! still reaches a log-likelihood within half a chi-squared quantile of the maximum.

use super::fit::DoseFit;
use super::groups::DoseGroup;
use super::likelihood::log_likelihood;
use super::penalised::penalised_log_likelihood;
use crate::statistics::normal::two_sided_z;
use crate::statistics::root::bisect;

/// Ends of the interval; `None` where the data put no bound on that side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProfileInterval {
    /// Low end.
    pub low: Option<f64>,
    /// High end.
    pub high: Option<f64>,
}

/// Which likelihood is profiled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Likelihood {
    /// The plain one, for a fit by maximum likelihood.
    Plain,
    /// Firth's, for a penalised fit.
    Penalised,
}

/// How far beyond the tested doses a bound is looked for, in widths of the tested range.
const REACH: f64 = 20.0;
/// Steepest slope looked at, in `eta` per tested range.
const STEEPEST: f64 = 1e5;
/// Points of the slope's logarithmic grid before it is refined.
const SLOPES: usize = 60;
/// Golden-section refinements of the slope.
const REFINEMENTS: usize = 60;

/// Profile interval of `fit.midpoint()` at `confidence`, slopes kept to the fit's sign.
#[must_use]
pub fn profile_midpoint(
    groups: &[DoseGroup],
    fit: &DoseFit,
    kind: Likelihood,
    confidence: f64,
) -> ProfileInterval {
    let used = || groups.iter().filter(|g| g.trials > 0).map(|g| g.dose);
    let (lowest, highest) = used().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), d| {
        (l.min(d), h.max(d))
    });
    let range = highest - lowest;
    let middle = fit.midpoint();
    let sign = fit.slope.signum();
    let height = |midpoint: f64, slope: f64| {
        let b = [-slope * midpoint, slope];
        match kind {
            Likelihood::Plain => log_likelihood(groups, fit.link, b),
            Likelihood::Penalised => penalised_log_likelihood(groups, fit.link, b),
        }
    };
    let z = two_sided_z(confidence);
    let profile = |midpoint: f64| best_slope(|s| height(midpoint, sign * s), range);
    let floor = height(middle, fit.slope) - 0.5 * z * z;
    let bound = |far: f64| bisect(middle, far, |m| profile(m) - floor);
    ProfileInterval {
        low: bound(middle.min(lowest) - REACH * range),
        high: bound(middle.max(highest) + REACH * range),
    }
}

/// Greatest height over positive slopes: a logarithmic grid, then golden section around its
/// best point.
fn best_slope(height: impl Fn(f64) -> f64, range: f64) -> f64 {
    let (gentlest, steepest) = ((1e-6 / range).ln(), (STEEPEST / range).ln());
    let step = (steepest - gentlest) / SLOPES as f64;
    let at = |ln_slope: f64| height(ln_slope.exp());
    let (best, _) = (0..=SLOPES)
        .map(|i| gentlest + step * i as f64)
        .map(|x| (x, at(x)))
        .fold(
            (gentlest, f64::NEG_INFINITY),
            |a, b| if b.1 > a.1 { b } else { a },
        );
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    let (mut low, mut high) = (best - step, best + step);
    for _ in 0..REFINEMENTS {
        let (a, b) = (high - golden * (high - low), low + golden * (high - low));
        if at(a) < at(b) { low = a } else { high = b }
    }
    at(0.5 * (low + high))
}
