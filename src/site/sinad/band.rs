//! The band in which powers are taken. Published definitions leave it to the analyser, so it is
//! stated with every result.

use super::psophometric::telephone_weight;
use crate::units::Hertz;

/// From here to there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Low edge.
    pub low: Hertz,
    /// High edge.
    pub high: Hertz,
}

impl Band {
    /// The usual voice band of two-way radio.
    pub const VOICE: Self = Self {
        low: Hertz(300.0),
        high: Hertz(3000.0),
    };
}

/// How frequencies in the band count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weighting {
    /// All alike.
    Flat,
    /// As a telephone user hears them: ITU-T O.41.
    Telephone,
}

impl Weighting {
    /// Factor on powers at a frequency; 1 for [`Weighting::Flat`].
    #[must_use]
    pub fn power_factor(self, frequency: Hertz) -> f64 {
        match self {
            Self::Flat => 1.0,
            Self::Telephone => 10f64.powf(telephone_weight(frequency).get() / 10.0),
        }
    }
}
