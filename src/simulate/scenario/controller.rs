//! What a controller adds to the talk: courtesy tones, identifier, time-out.

use super::Check;
use crate::error::Result;
use serde::{Deserialize, Serialize};

/// Short tones after an over.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct CourtesyTone {
    /// Frequencies, one after the other.
    pub tones_hz: Vec<f64>,
    /// Length of each.
    pub each_s: f64,
    /// After the input is lost.
    pub delay_s: f64,
    /// Loudness: deviation as a share of the rated one.
    pub deviation: f64,
}

impl Default for CourtesyTone {
    fn default() -> Self {
        Self {
            tones_hz: vec![880.0],
            each_s: 0.1,
            delay_s: 0.5,
            deviation: 0.3,
        }
    }
}

/// Morse identifier, sent while the transmitter is up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Identifier {
    /// Text. Call signs here must be ones that nobody can hold.
    pub text: String,
    /// Pitch.
    pub pitch_hz: f64,
    /// Speed.
    pub wpm: f64,
    /// Least time between two.
    pub every_s: f64,
    /// The first one is due at this time.
    pub first_s: f64,
    /// Loudness: deviation as a share of the rated one.
    pub deviation: f64,
}

impl Default for Identifier {
    fn default() -> Self {
        Self {
            text: "QQ0TB".into(),
            pitch_hz: 1050.0,
            wpm: 20.0,
            every_s: 600.0,
            first_s: 0.0,
            deviation: 0.25,
        }
    }
}

/// Time-out timer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct TimeOut {
    /// Longest over.
    pub after_s: f64,
    /// When the user lets go, the transmitter comes up for a tone to say so.
    pub announce: bool,
}

impl Default for TimeOut {
    fn default() -> Self {
        Self {
            after_s: 180.0,
            announce: false,
        }
    }
}

impl CourtesyTone {
    pub(super) fn check(&self, check: &Check<'_>, key: &str) -> Result<()> {
        for hz in &self.tones_hz {
            check.within(&format!("{key}.tones_hz"), *hz, 100.0, 3500.0)?;
        }
        check.within(&format!("{key}.each_s"), self.each_s, 0.005, 5.0)?;
        check.within(&format!("{key}.delay_s"), self.delay_s, 0.0, 10.0)?;
        check.within(&format!("{key}.deviation"), self.deviation, 0.0, 1.0)
    }
}

impl Identifier {
    pub(super) fn check(&self, check: &Check<'_>) -> Result<()> {
        check.within("repeater.identifier.pitch_hz", self.pitch_hz, 200.0, 3000.0)?;
        check.within("repeater.identifier.wpm", self.wpm, 4.0, 60.0)?;
        check.within("repeater.identifier.every_s", self.every_s, 1.0, 86_400.0)
    }
}

impl TimeOut {
    pub(super) fn check(&self, check: &Check<'_>) -> Result<()> {
        check.within("repeater.time_out.after_s", self.after_s, 0.5, 3600.0)
    }
}
