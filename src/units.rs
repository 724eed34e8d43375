//! Quantities with their units. Only sums that mean something compile; every change of unit is
//! one function here, with its formula.

use serde::{Deserialize, Serialize};
use std::ops::{Add, Div, Mul, Neg, Sub};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl $name {
            /// The bare number, in the unit that the type's documentation names.
            #[must_use]
            pub const fn get(self) -> f64 {
                self.0
            }

            /// Total order (NaN last), for sorting and extremes.
            #[must_use]
            pub fn total_cmp(&self, other: &Self) -> std::cmp::Ordering {
                self.0.total_cmp(&other.0)
            }
        }
    };
}

quantity! {
    /// A span of time in seconds; may be negative as a difference.
    Seconds
}
quantity! {
    /// A moment: seconds from the start of the recording.
    Instant
}
quantity! {
    /// A frequency in hertz.
    Hertz
}
quantity! {
    /// A ratio of powers in decibels.
    Decibels
}
quantity! {
    /// A level relative to a full-scale *square* wave's power (mean square 1.0 is 0 dBFS).
    Dbfs
}

quantity! {
    /// A radio power relative to a milliwatt.
    Dbm
}
quantity! {
    /// A power in watts.
    Watts
}
quantity! {
    /// A length or height in metres.
    Metres
}

macro_rules! additive {
    ($name:ident) => {
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
    };
}
additive!(Seconds);
additive!(Hertz);
additive!(Decibels);

impl Sub for Instant {
    type Output = Seconds;
    fn sub(self, other: Self) -> Seconds {
        Seconds(self.0 - other.0)
    }
}
impl Add<Seconds> for Instant {
    type Output = Self;
    fn add(self, span: Seconds) -> Self {
        Self(self.0 + span.0)
    }
}
impl Sub<Seconds> for Instant {
    type Output = Self;
    fn sub(self, span: Seconds) -> Self {
        Self(self.0 - span.0)
    }
}
impl Sub for Dbfs {
    type Output = Decibels;
    fn sub(self, other: Self) -> Decibels {
        Decibels(self.0 - other.0)
    }
}
impl Add<Decibels> for Dbfs {
    type Output = Self;
    fn add(self, gain: Decibels) -> Self {
        Self(self.0 + gain.0)
    }
}

impl Sub for Dbm {
    type Output = Decibels;
    fn sub(self, other: Self) -> Decibels {
        Decibels(self.0 - other.0)
    }
}
impl Add<Decibels> for Dbm {
    type Output = Self;
    fn add(self, gain: Decibels) -> Self {
        Self(self.0 + gain.0)
    }
}
impl Sub<Decibels> for Dbm {
    type Output = Self;
    fn sub(self, loss: Decibels) -> Self {
        Self(self.0 - loss.0)
    }
}

/// Samples per second of one channel; never zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct SampleRate(std::num::NonZeroU32);

impl SampleRate {
    /// `None` for zero.
    #[must_use]
    pub const fn new(hz: u32) -> Option<Self> {
        match std::num::NonZeroU32::new(hz) {
            Some(rate) => Some(Self(rate)),
            None => None,
        }
    }

    /// Samples per second.
    #[must_use]
    pub const fn hz(self) -> u32 {
        self.0.get()
    }

    /// Length of `count` samples: `count / rate`.
    #[must_use]
    pub fn samples_to_seconds(self, count: u64) -> Seconds {
        Seconds(count as f64 / f64::from(self.hz()))
    }

    /// Nearest whole number of samples in `span` (zero for a negative span): `span * rate`.
    #[must_use]
    pub fn seconds_to_samples(self, span: Seconds) -> u64 {
        (span.0 * f64::from(self.hz())).round().max(0.0) as u64
    }
}

/// dB to a ratio of powers: `10^(dB/10)`.
#[must_use]
pub fn db_to_power_ratio(level: Decibels) -> f64 {
    10f64.powf(level.0 / 10.0)
}

/// Ratio of powers to dB: `10 log10(ratio)`. A ratio of zero gives negative infinity.
#[must_use]
pub fn power_ratio_to_db(ratio: f64) -> Decibels {
    Decibels(10.0 * ratio.log10())
}

/// Watts to dBm: `10 log10(1000 P)`.
#[must_use]
pub fn watts_to_dbm(power: Watts) -> Dbm {
    Dbm(10.0 * (1000.0 * power.0).log10())
}

/// Microvolts across a matched 50 ohm input (not the generator's open-circuit voltage) to dBm:
/// `10 log10(1000 V^2 / 50)`.
#[must_use]
pub fn microvolts_to_dbm(microvolts: f64) -> Dbm {
    Dbm(10.0 * (1000.0 * (microvolts * 1e-6).powi(2) / 50.0).log10())
}

/// dBm to microvolts across 50 ohm: `1e6 sqrt(50 P)`.
#[must_use]
pub fn dbm_to_microvolts(level: Dbm) -> f64 {
    1e6 * (50.0 * 1e-3 * 10f64.powf(level.0 / 10.0)).sqrt()
}

/// Mean square of samples to dBFS, with a floor for digital silence: `10 log10(max(ms, floor))`.
#[must_use]
pub fn mean_square_to_dbfs(mean_square: f64) -> Dbfs {
    Dbfs(10.0 * mean_square.max(SILENCE_MEAN_SQUARE).log10())
}

/// Mean square that stands for digital silence, -140 dBFS: below the rounding of 24-bit audio.
pub const SILENCE_MEAN_SQUARE: f64 = 1e-14;
