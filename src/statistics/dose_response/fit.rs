//! Maximum likelihood.

use super::groups::{DoseGroup, Separation, separation};
use super::likelihood::{
    Pair, Symmetric, expected_information, inverse, log_likelihood, observed_information, score,
    times,
};
use super::link::Link;

/// A fitted curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DoseFit {
    /// The curve's kind.
    pub link: Link,
    /// `b0`.
    pub intercept: f64,
    /// `b1`.
    pub slope: f64,
    /// Covariance of `(b0, b1)` from the observed information, as `[v00, v01, v11]`.
    pub covariance_observed: Symmetric,
    /// The same from Fisher's expected information.
    pub covariance_expected: Symmetric,
    /// Log-likelihood at the fit, binomial coefficients left out.
    pub log_likelihood: f64,
}

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FitFailure {
    /// Only one outcome, or only one dose.
    OneOutcome,
    /// The doses part the outcomes: the slope would be infinite.
    Parted,
    /// The response does not depend on the dose: there is no half-way dose.
    Flat,
    /// The search did not settle.
    NotSettled,
}

impl DoseFit {
    /// Dose at which half respond, `-b0/b1`.
    #[must_use]
    pub fn midpoint(&self) -> f64 {
        -self.intercept / self.slope
    }

    /// Scale of the threshold's distribution, `1/|b1|` (its standard deviation for the probit).
    #[must_use]
    pub fn spread(&self) -> f64 {
        1.0 / self.slope.abs()
    }

    /// Chance of a response at `dose`.
    #[must_use]
    pub fn probability(&self, dose: f64) -> f64 {
        self.link.probability(self.intercept + self.slope * dose)
    }

    /// Standard error of [`DoseFit::midpoint`] by the delta method, observed information.
    #[must_use]
    pub fn midpoint_error_observed(&self) -> f64 {
        self.midpoint_error(self.covariance_observed)
    }

    /// Standard error of [`DoseFit::midpoint`] by the delta method, expected information.
    #[must_use]
    pub fn midpoint_error_expected(&self) -> f64 {
        self.midpoint_error(self.covariance_expected)
    }

    fn midpoint_error(&self, covariance: Symmetric) -> f64 {
        let gradient = [
            -1.0 / self.slope,
            self.intercept / (self.slope * self.slope),
        ];
        let v = times(covariance, gradient);
        (gradient[0] * v[0] + gradient[1] * v[1]).sqrt()
    }
}

/// Steps after which the search is given up; Newton's method needs about eight.
const MOST_STEPS: usize = 200;
/// Change of the log-likelihood below which the search has settled.
const SETTLED: f64 = 1e-13;
/// A slope that moves `eta` by less than this over all tested doses is none.
const FLAT: f64 = 1e-9;

/// Fits `P = F(b0 + b1 dose)` by maximum likelihood.
///
/// # Errors
/// The table has no finite fit, see [`FitFailure`].
pub fn fit_ml(groups: &[DoseGroup], link: Link) -> Result<DoseFit, FitFailure> {
    match separation(groups) {
        Separation::OneOutcome => return Err(FitFailure::OneOutcome),
        Separation::Parted => return Err(FitFailure::Parted),
        Separation::Overlap => {}
    }
    let (centred, centre, scale) = standardise(groups);
    let objective = |b: Pair| log_likelihood(&centred, link, b);
    let direction = |b: Pair| {
        let slope = score(&centred, link, b);
        inverse(observed_information(&centred, link, b)).map(|v| times(v, slope))
    };
    let b = climb([0.0, 0.0], objective, direction).ok_or(FitFailure::NotSettled)?;
    if b[1].abs() < FLAT {
        return Err(FitFailure::Flat);
    }
    describe(groups, link, original(b, centre, scale)).ok_or(FitFailure::NotSettled)
}

/// Doses shifted and scaled to mean 0 and largest distance 1, so that one set of tolerances
/// serves all; with the shift and the scale.
pub(super) fn standardise(groups: &[DoseGroup]) -> (Vec<DoseGroup>, f64, f64) {
    let trials: f64 = groups.iter().map(|g| f64::from(g.trials)).sum();
    let centre = groups
        .iter()
        .map(|g| f64::from(g.trials) * g.dose)
        .sum::<f64>()
        / trials;
    let scale = groups
        .iter()
        .map(|g| (g.dose - centre).abs())
        .fold(0.0, f64::max);
    let moved = |g: &DoseGroup| DoseGroup {
        dose: (g.dose - centre) / scale,
        ..*g
    };
    (
        groups.iter().filter(|g| g.trials > 0).map(moved).collect(),
        centre,
        scale,
    )
}

/// Intercept and slope on the original doses.
pub(super) fn original(b: Pair, centre: f64, scale: f64) -> Pair {
    let slope = b[1] / scale;
    [b[0] - slope * centre, slope]
}

/// The fit with its covariances at `b`.
pub(super) fn describe(groups: &[DoseGroup], link: Link, b: Pair) -> Option<DoseFit> {
    Some(DoseFit {
        link,
        intercept: b[0],
        slope: b[1],
        covariance_observed: inverse(observed_information(groups, link, b))?,
        covariance_expected: inverse(expected_information(groups, link, b))?,
        log_likelihood: log_likelihood(groups, link, b),
    })
}

/// Uphill steps along `direction`, halved until the objective grows. `None` if it never settles.
pub(super) fn climb(
    start: Pair,
    objective: impl Fn(Pair) -> f64,
    direction: impl Fn(Pair) -> Option<Pair>,
) -> Option<Pair> {
    let mut b = start;
    let mut height = objective(b);
    for _ in 0..MOST_STEPS {
        let step = direction(b)?;
        let mut share = 1.0;
        let (next, next_height) = loop {
            let next = [b[0] + share * step[0], b[1] + share * step[1]];
            let next_height = objective(next);
            if next_height > height {
                break (next, next_height);
            }
            share *= 0.5;
            if share < 1e-12 {
                return Some(b);
            }
        };
        let gain = next_height - height;
        (b, height) = (next, next_height);
        if gain < SETTLED {
            return Some(b);
        }
    }
    None
}
