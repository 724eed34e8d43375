//! What a desense costs the users, and how much isolation is missing.

use super::noise;
use super::path_loss::{HATA_HEIGHTS_M, HATA_MHZ, hata_exponent};
use crate::error::{Error, Result};
use crate::tuning::site::DEFAULT_PATH_EXPONENT;
use crate::units::{Decibels, Hertz, Metres, Watts, db_to_power_ratio};

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CostQuestion {
    /// The desense.
    pub desense: Decibels,
    /// Radiated power with which a user got in before.
    pub erp: Option<Watts>,
    /// Where the path-loss exponent comes from.
    pub slope: Slope,
    /// Band, to tell whether a model holds.
    pub frequency: Option<Hertz>,
    /// Desense that would be tolerated.
    pub target: Option<Decibels>,
}

/// Where the path-loss exponent comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Slope {
    /// Not stated: [`DEFAULT_PATH_EXPONENT`].
    Usual,
    /// Stated.
    Stated(f64),
    /// By Hata's slope from the height of the repeater's antenna.
    Antenna(Metres),
}

/// The answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cost {
    /// The question.
    pub asked: CostQuestion,
    /// Factor by which a user's power must grow: `10^(D/10)`.
    pub power_ratio: f64,
    /// Power that does what `erp` did before.
    pub erp_needed: Option<Watts>,
    /// Path-loss exponent used.
    pub exponent: f64,
    /// Range left of 1: `10^(-D/(10 n))`.
    pub range_factor: f64,
    /// Covered area left of 1, the square of it.
    pub area_factor: f64,
    /// Noise added by the transmitter relative to the receiver's floor; `None` for no desense.
    pub added_noise: Option<Decibels>,
    /// Isolation missing to reach the target; 0 where it is reached already.
    pub missing_isolation: Option<Decibels>,
    /// The band lies outside the range for which Hata's slope was fitted.
    pub band_outside_model: bool,
}

/// Works out the cost.
///
/// # Errors
/// A number that makes no sense: a negative desense, an antenna outside Hata's heights, a target
/// of 0 dB (it would need endless isolation).
pub fn cost(asked: CostQuestion) -> Result<Cost> {
    let d = asked.desense.get();
    if !(0.0..=MOST_DESENSE_DB).contains(&d) {
        return Err(bad(
            "desense",
            &format!("{d} dB is no desense"),
            "state 0 to 100 dB",
        ));
    }
    if asked
        .erp
        .is_some_and(|w| !(w.get() > 0.0 && w.get().is_finite()))
    {
        return Err(bad(
            "ERP",
            "a radiated power must be above 0 W",
            "state it in watts",
        ));
    }
    let exponent = exponent(asked.slope)?;
    let power_ratio = db_to_power_ratio(asked.desense);
    let range_factor = 10f64.powf(-d / (10.0 * exponent));
    let by_hata = matches!(asked.slope, Slope::Antenna(_));
    let outside = |f: Hertz| !HATA_MHZ.contains(&(f.get() / 1e6));
    Ok(Cost {
        asked,
        power_ratio,
        erp_needed: asked.erp.map(|w| Watts(w.get() * power_ratio)),
        exponent,
        range_factor,
        area_factor: range_factor * range_factor,
        added_noise: noise::added(asked.desense),
        missing_isolation: asked
            .target
            .map(|t| missing(asked.desense, t))
            .transpose()?,
        band_outside_model: by_hata && asked.frequency.is_some_and(outside),
    })
}

/// More than any receiver shows before it is deaf altogether; beyond it a typing error is likelier.
const MOST_DESENSE_DB: f64 = 100.0;

fn exponent(slope: Slope) -> Result<f64> {
    match slope {
        Slope::Usual => Ok(DEFAULT_PATH_EXPONENT),
        Slope::Stated(n) if (1.0..=10.0).contains(&n) => Ok(n),
        Slope::Stated(n) => Err(bad(
            "path-loss exponent",
            &format!("{n} is outside 1 to 10"),
            "2 is free space, 3.5 to 4 is usual over ground",
        )),
        Slope::Antenna(height) => hata_exponent(height).ok_or_else(|| {
            bad(
                "antenna height",
                &format!(
                    "Hata's slope holds for {} to {} m above the ground around, not for {} m",
                    HATA_HEIGHTS_M.start(),
                    HATA_HEIGHTS_M.end(),
                    height.get()
                ),
                "state the path-loss exponent instead",
            )
        }),
    }
}

fn missing(from: Decibels, to: Decibels) -> Result<Decibels> {
    if !(to.get() > 0.0 && to.get().is_finite()) {
        return Err(bad(
            "target",
            &format!("a desense of {} dB would need endless isolation", to.get()),
            "aim at 1 dB, or 0.5 dB",
        ));
    }
    let gap = noise::missing_isolation(from, to).unwrap_or_default();
    Ok(Decibels(gap.get().max(0.0)))
}

fn bad(place: &str, what: &str, remedy: &str) -> Error {
    Error::BadSetting {
        place: place.into(),
        what: what.into(),
        remedy: remedy.into(),
    }
}
