//! The curve of the response.

use crate::statistics::normal;

/// Which distribution the thresholds follow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Link {
    /// Normal.
    Probit,
    /// Logistic.
    Logit,
}

impl Link {
    /// `F(eta)`.
    #[must_use]
    pub fn probability(self, eta: f64) -> f64 {
        match self {
            Self::Probit => normal::cumulative(eta),
            Self::Logit => 1.0 / (1.0 + (-eta).exp()),
        }
    }

    /// `ln F(eta)`; that of a non-response is `ln_probability(-eta)`, both curves being
    /// symmetric.
    #[must_use]
    pub fn ln_probability(self, eta: f64) -> f64 {
        match self {
            Self::Probit => normal::ln_cumulative(eta),
            Self::Logit if eta > 0.0 => -(-eta).exp().ln_1p(),
            Self::Logit => eta - eta.exp().ln_1p(),
        }
    }

    /// Slope of [`Link::ln_probability`].
    #[must_use]
    pub fn score(self, eta: f64) -> f64 {
        match self {
            Self::Probit => normal::hazard(eta),
            Self::Logit => self.probability(-eta),
        }
    }

    /// Minus the curvature of [`Link::ln_probability`]; never negative.
    #[must_use]
    pub fn curvature(self, eta: f64) -> f64 {
        match self {
            Self::Probit => {
                let hazard = normal::hazard(eta);
                (hazard * (eta + hazard)).max(0.0)
            }
            Self::Logit => self.probability(eta) * self.probability(-eta),
        }
    }

    /// Fisher's information on `eta` from one trial, `f^2 / (F (1 - F))`.
    #[must_use]
    pub fn information(self, eta: f64) -> f64 {
        match self {
            Self::Probit => normal::hazard(eta) * normal::hazard(-eta),
            Self::Logit => self.curvature(eta),
        }
    }
}
