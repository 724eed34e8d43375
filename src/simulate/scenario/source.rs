//! Things in a recording that are not a repeater.

use super::Check;
use crate::error::Result;
use serde::{Deserialize, Serialize};

/// A source in place of the repeater.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Source {
    /// What it is.
    pub kind: SourceKind,
    /// Mean time from one burst, phrase or over to the next.
    pub every_s: f64,
    /// Mean length of one.
    pub length_s: f64,
    /// How unevenly: standard deviation of the logarithm of both times; 0 is clockwork.
    pub spread: f64,
    /// Loudness: level of the sound's peaks, for what does not come by radio.
    pub level_dbfs: f64,
}

impl Default for Source {
    fn default() -> Self {
        Self {
            kind: SourceKind::Speech,
            every_s: 3.0,
            length_s: 2.0,
            spread: 0.5,
            level_dbfs: -10.0,
        }
    }
}

/// Kinds of source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum SourceKind {
    /// Nothing at all.
    Silence,
    /// Speech recorded directly, with pauses.
    #[default]
    Speech,
    /// Notes with overtones and a beat.
    Music,
    /// Steady noise.
    Noise,
    /// Steady noise that is switched on and off.
    NoiseBursts,
    /// Beeps.
    Beeps,
    /// A radio to radio talk through the listener's set: FM, but no repeater.
    Simplex,
    /// Bursts of data through the listener's set.
    DataBursts,
    /// Bursts of data as two tones through the listener's set.
    Packets,
    /// Calls in digits of a keypad or in rows of tones through the listener's set.
    Calls,
    /// Frames of data in four levels between quiet carrier, as from telemetry, through the listener's set.
    Telemetry,
}

impl SourceKind {
    /// Whether it reaches the recorder by way of the listener's FM set.
    #[must_use]
    pub const fn by_radio(self) -> bool {
        matches!(
            self,
            Self::Simplex | Self::DataBursts | Self::Packets | Self::Calls | Self::Telemetry
        )
    }
}

impl Source {
    pub(super) fn check(&self, check: &Check<'_>) -> Result<()> {
        check.within("source.every_s", self.every_s, 0.02, 3600.0)?;
        check.within("source.length_s", self.length_s, 0.01, 3600.0)?;
        check.within("source.spread", self.spread, 0.0, 3.0)?;
        check.within("source.level_dbfs", self.level_dbfs, -100.0, 20.0)
    }
}
