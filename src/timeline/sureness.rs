//! What the network's own sureness of an event is worth: the chance that an event of which it was
//! so sure was there.
//!
//! A logistic curve for each kind over the log odds of the sureness (Platt 1999), fitted on
//! recordings that the network was not fitted on by `tailbeat prove --part spared --refit`.

use super::types::EventKind;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// A curve for each kind of event that edges make.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Sureness {
    /// Key-ups.
    pub key_up: Curve,
    /// Losses of the input.
    pub input_loss: Curve,
    /// Carrier drops.
    pub carrier_drop: Curve,
}

/// Log odds of the chance over log odds of the network's sureness.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Curve {
    /// Log odds where the network is in two minds.
    pub intercept: f64,
    /// Gain of log odds.
    pub slope: f64,
}

static FITTED: LazyLock<Sureness> = LazyLock::new(|| {
    serde_json::from_str(include_str!("../tuning/event_sureness.json")).unwrap_or(Sureness {
        key_up: Curve::PLAIN,
        input_loss: Curve::PLAIN,
        carrier_drop: Curve::PLAIN,
    })
});

/// Sureness nearer to 0 or 1 than this tells no more.
const SUREST: f64 = 1e-4;

/// Natural log odds of a chance.
#[must_use]
pub fn log_odds(chance: f64) -> f64 {
    let p = chance.clamp(SUREST, 1.0 - SUREST);
    (p / (1.0 - p)).ln()
}

impl Curve {
    const PLAIN: Self = Self {
        intercept: 0.0,
        slope: 1.0,
    };

    /// Chance of an event of which the network is `sure`.
    #[must_use]
    pub fn chance(self, sure: f64) -> f64 {
        1.0 / (1.0 + (-self.intercept - self.slope * log_odds(sure)).exp())
    }

    /// The log odds of the network's sureness from the chance that was made of it.
    #[must_use]
    pub fn undone(self, chance: f64) -> f64 {
        // Not as near to 0 and 1 as sureness itself: a steep curve carries it further.
        let p = chance.clamp(f64::EPSILON, 1.0 - f64::EPSILON);
        ((p / (1.0 - p)).ln() - self.intercept) / self.slope
    }
}

impl Sureness {
    /// The shipped curves.
    #[must_use]
    pub fn shipped() -> Self {
        *FITTED
    }

    /// The curve of a kind; none for tones, which are found otherwise.
    #[must_use]
    pub const fn curve(&self, kind: EventKind) -> Option<Curve> {
        match kind {
            EventKind::KeyUp => Some(self.key_up),
            EventKind::InputLoss => Some(self.input_loss),
            EventKind::CarrierDrop => Some(self.carrier_drop),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_sureness_is_a_better_chance_and_can_be_undone() {
        let shipped: Sureness =
            serde_json::from_str(include_str!("../tuning/event_sureness.json")).unwrap();
        for curve in [shipped.key_up, shipped.input_loss, shipped.carrier_drop] {
            assert!(curve.chance(0.9) > curve.chance(0.5));
            for sure in [0.8, 0.999, 1.0 - SUREST, SUREST] {
                let undone = curve.undone(curve.chance(sure));
                assert!((undone - log_odds(sure)).abs() < 1e-6, "{sure} {undone}");
            }
        }
    }

    #[test]
    fn nothing_is_certain() {
        assert!(Curve::PLAIN.chance(1.0) < 1.0);
        assert!(Curve::PLAIN.chance(0.0) > 0.0);
    }
}
