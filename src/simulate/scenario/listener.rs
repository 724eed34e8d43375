//! The set that listens to the repeater's output.

use super::{Check, Path};
use crate::error::Result;
use serde::{Deserialize, Serialize};

/// A receiver on the repeater's output.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Listener {
    /// Level of the repeater in the set's filter.
    pub cnr_db: f64,
    /// What becomes of the repeater's signal on its way.
    pub path: Path,
    /// Kind of squelch.
    pub squelch: ListenerSquelch,
    /// Carrier-to-noise ratio at which a noise squelch opens.
    pub opens_at_cnr_db: f64,
    /// It closes this much lower.
    pub hysteresis_db: f64,
    /// Opening delay.
    pub opening_s: f64,
    /// Closing delay: the length of the set's squelch tail.
    pub closing_s: f64,
    /// The set scans and comes late.
    pub scanning: Option<Scanning>,
    /// What the set does while a user beside it transmits.
    pub deafness: Deafness,
    /// De-emphasis; false is a discriminator output.
    pub de_emphasis: bool,
    /// Lower end of the audio band.
    pub low_hz: f64,
    /// Upper end of the audio band.
    pub high_hz: f64,
    /// Error of tuning: a click when the set opens and closes.
    pub tuning_hz: f64,
    /// Level of a tone of full rated deviation.
    pub volume_dbfs: f64,
}

impl Default for Listener {
    fn default() -> Self {
        Self {
            cnr_db: 35.0,
            path: Path::default(),
            squelch: ListenerSquelch::Noise,
            opens_at_cnr_db: 5.0,
            hysteresis_db: 2.0,
            opening_s: 0.05,
            closing_s: 0.06,
            scanning: None,
            deafness: Deafness::Noisy,
            de_emphasis: true,
            low_hz: 300.0,
            high_hz: 3000.0,
            tuning_hz: 60.0,
            volume_dbfs: -14.0,
        }
    }
}

/// How the set mutes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum ListenerSquelch {
    /// Never.
    Open,
    /// By noise.
    #[default]
    Noise,
    /// By noise and by the repeater's sub-audible tone.
    Tone,
}

/// A set that scans several channels.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Scanning {
    /// Time for one round over the channels: it comes late by up to this.
    pub round_s: f64,
    /// It stays this long after a carrier has left before it goes on.
    pub stay_s: f64,
}

impl Default for Scanning {
    fn default() -> Self {
        Self {
            round_s: 2.0,
            stay_s: 1.0,
        }
    }
}

/// What a set does while somebody transmits beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum Deafness {
    /// Its noise rises above everything: hiss, or mute where squelched.
    #[default]
    Noisy,
    /// It is muted, as a transceiver that transmits itself.
    Blanked,
}

impl Listener {
    pub(super) fn check(&self, check: &Check<'_>) -> Result<()> {
        check.within("listener.cnr_db", self.cnr_db, -30.0, 90.0)?;
        check.within("listener.opens_at_cnr_db", self.opens_at_cnr_db, -1.0, 14.0)?;
        check.within("listener.hysteresis_db", self.hysteresis_db, 0.0, 10.0)?;
        check.within("listener.opening_s", self.opening_s, 0.0, 2.0)?;
        check.within("listener.closing_s", self.closing_s, 0.0, 2.0)?;
        check.within("listener.low_hz", self.low_hz, 5.0, 1000.0)?;
        check.within("listener.high_hz", self.high_hz, 1500.0, 12_000.0)?;
        check.within("listener.tuning_hz", self.tuning_hz, -3000.0, 3000.0)?;
        check.within("listener.volume_dbfs", self.volume_dbfs, -80.0, 20.0)?;
        if let Some(scanning) = &self.scanning {
            check.within("listener.scanning.round_s", scanning.round_s, 0.0, 600.0)?;
            check.within("listener.scanning.stay_s", scanning.stay_s, 0.0, 600.0)?;
        }
        self.path.check(check, "listener.path")
    }
}
