//! Firth's (1993) treatment: the log-likelihood plus half the log determinant of the expected
//! information (Jeffreys' prior). Its maximum is finite even where the doses part the answers.

use super::fit::{DoseFit, FitFailure, climb, describe, original, standardise};
use super::groups::{DoseGroup, Separation, separation};
use super::likelihood::{
    Pair, determinant, expected_information, inverse, log_likelihood, score, times,
};
use super::link::Link;

/// Step of the numerical slope of the penalty, on doses scaled to about 1.
const STEP: f64 = 1e-5;
/// Slopes below this are none (numerical slopes settle less sharply than exact ones).
const FLAT: f64 = 1e-6;

/// `log_likelihood + 1/2 ln |I(b)|`.
#[must_use]
pub fn penalised_log_likelihood(groups: &[DoseGroup], link: Link, b: Pair) -> f64 {
    let det = determinant(expected_information(groups, link, b));
    if det > 0.0 {
        log_likelihood(groups, link, b) + 0.5 * det.ln()
    } else {
        f64::NEG_INFINITY
    }
}

/// Fits by the maximum of [`penalised_log_likelihood`]. The covariances are those of the plain
/// likelihood at that place; prefer the profile for intervals.
///
/// # Errors
/// [`FitFailure::OneOutcome`], [`FitFailure::Flat`] or [`FitFailure::NotSettled`]; never
/// [`FitFailure::Parted`].
pub fn fit_penalised(groups: &[DoseGroup], link: Link) -> Result<DoseFit, FitFailure> {
    if separation(groups) == Separation::OneOutcome {
        return Err(FitFailure::OneOutcome);
    }
    let (centred, centre, scale) = standardise(groups);
    let objective = |b: Pair| penalised_log_likelihood(&centred, link, b);
    let direction = |b: Pair| {
        let slope = score(&centred, link, b);
        let penalty = |b: Pair| 0.5 * determinant(expected_information(&centred, link, b)).ln();
        let lean = |i: usize| {
            let (mut up, mut down) = (b, b);
            up[i] += STEP;
            down[i] -= STEP;
            (penalty(up) - penalty(down)) / (2.0 * STEP)
        };
        let total = [slope[0] + lean(0), slope[1] + lean(1)];
        inverse(expected_information(&centred, link, b)).map(|v| times(v, total))
    };
    let b = climb([0.0, 0.0], objective, direction).ok_or(FitFailure::NotSettled)?;
    if b[1].abs() < FLAT {
        return Err(FitFailure::Flat);
    }
    describe(groups, link, original(b, centre, scale)).ok_or(FitFailure::NotSettled)
}
