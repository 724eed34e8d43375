//! Path-loss models. Use them for slopes: their absolute levels disagree with each other by more
//! than a desense (Egli's two printed forms differ by 2.2 dB).

use crate::units::{Decibels, Hertz, Metres};
use std::ops::RangeInclusive;

/// Speed of light, m/s.
const LIGHT: f64 = 299_792_458.0;
/// Base antenna heights for which Hata's slope was fitted, m (Hata 1980).
pub const HATA_HEIGHTS_M: RangeInclusive<f64> = 30.0..=200.0;
/// Frequencies for which it was fitted, MHz.
pub const HATA_MHZ: RangeInclusive<f64> = 150.0..=1500.0;

/// Ground cover in Hata's model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cover {
    /// Large city.
    LargeCity,
    /// Small or medium city.
    SmallCity,
    /// Suburb.
    Suburban,
    /// Open country.
    Open,
}

/// Hata's exponent for a base antenna at `height`: `(44.9 - 6.55 log10 hb) / 10` (Hata, IEEE
/// Trans. VT-29, 1980). `None` outside 30 to 200 m.
#[must_use]
pub fn hata_exponent(height: Metres) -> Option<f64> {
    let within = HATA_HEIGHTS_M.contains(&height.get());
    within.then(|| (44.9 - 6.55 * height.get().log10()) / 10.0)
}

/// Hata's median path loss (IEEE Trans. VT-29, 1980); distance 1 to 20 km, mobile at 1 to 10 m.
#[must_use]
pub fn hata(
    frequency: Hertz,
    base: Metres,
    mobile: Metres,
    distance: Metres,
    cover: Cover,
) -> Decibels {
    let f = (frequency.get() / 1e6).log10();
    let hm = mobile.get();
    let correction = if cover == Cover::LargeCity {
        if frequency.get() >= 300e6 {
            3.2 * (11.75 * hm).log10().powi(2) - 4.97
        } else {
            8.29 * (1.54 * hm).log10().powi(2) - 1.1
        }
    } else {
        (1.1 * f - 0.7) * hm - (1.56 * f - 0.8)
    };
    let hb = base.get().log10();
    let urban = 69.55 + 26.16 * f - 13.82 * hb - correction
        + (44.9 - 6.55 * hb) * (distance.get() / 1000.0).log10();
    // Both reliefs start from the small city's loss.
    let relief = match cover {
        Cover::LargeCity | Cover::SmallCity => 0.0,
        Cover::Suburban => 2.0 * (f - 28f64.log10()).powi(2) + 5.4,
        Cover::Open => 4.78 * f * f - 18.33 * f + 40.94,
    };
    Decibels(urban - relief)
}

/// Free space: `20 log10(4 pi d / lambda)`.
#[must_use]
pub fn free_space(frequency: Hertz, distance: Metres) -> Decibels {
    let turns = 4.0 * std::f64::consts::PI * distance.get() * frequency.get() / LIGHT;
    Decibels(20.0 * turns.log10())
}

/// Plane earth: `40 log10 d - 20 log10(ht hr)`.
#[must_use]
pub fn plane_earth(distance: Metres, one: Metres, other: Metres) -> Decibels {
    Decibels(40.0 * distance.get().log10() - 20.0 * (one.get() * other.get()).log10())
}

/// Egli (Proc. IRE 45, 1957; from memory) for a mobile antenna up to 10 m:
/// `20 log f + 40 log d - 20 log hb + 76.3 - 10 log hm` in MHz, km and m.
#[must_use]
pub fn egli(frequency: Hertz, distance: Metres, base: Metres, mobile: Metres) -> Decibels {
    Decibels(
        20.0 * (frequency.get() / 1e6).log10() + 40.0 * (distance.get() / 1000.0).log10()
            - 20.0 * base.get().log10()
            + 76.3
            - 10.0 * mobile.get().log10(),
    )
}

/// Isolation of two dipoles one above the other: `28 + 40 log10(d / lambda)` (a radio maker's
/// manual; second-hand, good to about 70 dB).
#[must_use]
pub fn vertical_isolation(frequency: Hertz, distance: Metres) -> Decibels {
    Decibels(28.0 + 40.0 * (distance.get() * frequency.get() / LIGHT).log10())
}

/// Isolation of two antennas side by side: `22 + 20 log10(d / lambda) - G1 - G2`, gains in dBi
/// (as [`vertical_isolation`]).
#[must_use]
pub fn horizontal_isolation(
    frequency: Hertz,
    distance: Metres,
    gains_dbi: [Decibels; 2],
) -> Decibels {
    let spread = 22.0 + 20.0 * (distance.get() * frequency.get() / LIGHT).log10();
    Decibels(spread - gains_dbi[0].get() - gains_dbi[1].get())
}
