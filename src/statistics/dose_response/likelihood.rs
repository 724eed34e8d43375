//! Log-likelihood of `b0 + b1 dose`, its slope and its information.

use super::groups::DoseGroup;
use super::link::Link;

/// Intercept and slope.
pub type Pair = [f64; 2];
/// A symmetric two-by-two matrix as `[m00, m01, m11]`.
pub type Symmetric = [f64; 3];

/// `m00 m11 - m01^2`.
#[must_use]
pub fn determinant(m: Symmetric) -> f64 {
    m[0] * m[2] - m[1] * m[1]
}

/// Inverse, or `None` unless positive definite.
#[must_use]
pub fn inverse(m: Symmetric) -> Option<Symmetric> {
    let det = determinant(m);
    (m[0] > 0.0 && det > 0.0 && det.is_finite()).then(|| [m[2] / det, -m[1] / det, m[0] / det])
}

/// Matrix times vector.
#[must_use]
pub fn times(m: Symmetric, v: Pair) -> Pair {
    [m[0] * v[0] + m[1] * v[1], m[1] * v[0] + m[2] * v[1]]
}

/// Sum over groups of `k ln F(eta) + (n - k) ln F(-eta)`, binomial coefficients left out.
#[must_use]
pub fn log_likelihood(groups: &[DoseGroup], link: Link, b: Pair) -> f64 {
    groups
        .iter()
        .map(|g| {
            let eta = b[0] + b[1] * g.dose;
            let (yes, no) = (f64::from(g.responses), f64::from(g.trials - g.responses));
            // 0 times minus infinity must stay 0.
            let part = |n: f64, eta: f64| {
                if n > 0.0 {
                    n * link.ln_probability(eta)
                } else {
                    0.0
                }
            };
            part(yes, eta) + part(no, -eta)
        })
        .sum()
}

/// Slope of [`log_likelihood`].
#[must_use]
pub fn score(groups: &[DoseGroup], link: Link, b: Pair) -> Pair {
    groups.iter().fold([0.0; 2], |sum, g| {
        let eta = b[0] + b[1] * g.dose;
        let (yes, no) = (f64::from(g.responses), f64::from(g.trials - g.responses));
        let s = yes * link.score(eta) - no * link.score(-eta);
        [sum[0] + s, sum[1] + s * g.dose]
    })
}

/// Minus the second derivative of [`log_likelihood`].
#[must_use]
pub fn observed_information(groups: &[DoseGroup], link: Link, b: Pair) -> Symmetric {
    weighted(groups, |g| {
        let eta = b[0] + b[1] * g.dose;
        let (yes, no) = (f64::from(g.responses), f64::from(g.trials - g.responses));
        yes * link.curvature(eta) + no * link.curvature(-eta)
    })
}

/// Fisher's expected information.
#[must_use]
pub fn expected_information(groups: &[DoseGroup], link: Link, b: Pair) -> Symmetric {
    weighted(groups, |g| {
        f64::from(g.trials) * link.information(b[0] + b[1] * g.dose)
    })
}

fn weighted(groups: &[DoseGroup], weight: impl Fn(&DoseGroup) -> f64) -> Symmetric {
    groups.iter().fold([0.0; 3], |m, g| {
        let w = weight(g);
        [m[0] + w, m[1] + w * g.dose, m[2] + w * g.dose * g.dose]
    })
}
