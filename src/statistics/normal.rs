//! The standard normal distribution, with logarithms that stay finite far out in the tails.

use statrs::distribution::{ContinuousCDF, Normal};
use std::f64::consts::{PI, SQRT_2};

/// Where the tail's own expansion takes over from `erfc`, which is still a normal number there.
const FAR_TAIL: f64 = -30.0;

/// Density `phi(z)`.
#[must_use]
pub fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

/// Distribution function `Phi(z)`.
#[must_use]
pub fn cumulative(z: f64) -> f64 {
    0.5 * statrs::function::erf::erfc(-z / SQRT_2)
}

/// Quantile: the `z` with `Phi(z) = p`; infinite at 0 and 1.
#[must_use]
pub fn quantile(p: f64) -> f64 {
    Normal::standard().inverse_cdf(p)
}

/// Half-width of a central interval in standard deviations: 1.96 for a confidence of 0.95.
#[must_use]
pub fn two_sided_z(confidence: f64) -> f64 {
    quantile(0.5 + 0.5 * confidence)
}

/// `ln Phi(z)`; in the far tail by `Phi(z) ~ phi(z)/|z| (1 - 1/z^2)`.
#[must_use]
pub fn ln_cumulative(z: f64) -> f64 {
    if z > FAR_TAIL {
        cumulative(z).ln()
    } else {
        -0.5 * z * z - (-z).ln() - 0.5 * (2.0 * PI).ln() + (-1.0 / (z * z)).ln_1p()
    }
}

/// `phi(z) / Phi(z)`: the slope of [`ln_cumulative`].
#[must_use]
pub fn hazard(z: f64) -> f64 {
    if z > FAR_TAIL {
        density(z) / cumulative(z)
    } else {
        -z - 1.0 / z
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantile_of_the_usual_interval() {
        // Any table of the normal distribution: 1.959964 (from memory).
        assert!((two_sided_z(0.95) - 1.959_963_984_540_054).abs() < 1e-9);
    }

    #[test]
    fn the_two_branches_meet_in_the_far_tail() {
        let (near, far) = (FAR_TAIL + 1e-9, FAR_TAIL);
        assert!((ln_cumulative(near) - ln_cumulative(far)).abs() < 1e-5);
        assert!((hazard(near) - hazard(far)).abs() < 1e-4);
        assert!(ln_cumulative(-400.0).is_finite());
    }
}
