//! The repeater: receiver, squelch, audio path, and what belongs to it.

use super::Check;
use super::controller::{CourtesyTone, Identifier, TimeOut};
use super::desense::Desense;
use super::transmitter::Transmitter;
use crate::error::Result;
use serde::{Deserialize, Serialize};

/// Channel width.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum Channel {
    /// 25 kHz channel: 5 kHz deviation, 16 kHz filter.
    #[default]
    Wide,
    /// 12.5 kHz channel: 2.5 kHz deviation, 9 kHz filter.
    Narrow,
}

/// A repeater.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Repeater {
    /// How long the transmitter stays up after the input is lost.
    pub hang_s: f64,
    /// How much the noise floor rises while the own transmitter is on, and how steadily.
    pub desense: Desense,
    /// Noise-operated squelch.
    pub squelch: Squelch,
    /// Tone decoder, where the input needs a sub-audible tone.
    pub tone: Option<ToneDecoder>,
    /// What lies between the receiver's audio and the transmitter's.
    pub audio: RepeatedAudio,
    /// From a good input to the transmitter being keyed.
    pub key_delay_s: f64,
    /// The input must hold this long before the controller believes it.
    pub anti_kerchunk_s: f64,
    /// Tones after each over.
    pub courtesy: Option<CourtesyTone>,
    /// Morse identifier.
    pub identifier: Option<Identifier>,
    /// Time-out timer.
    pub time_out: Option<TimeOut>,
    /// Transmitter.
    pub transmitter: Transmitter,
}

impl Default for Repeater {
    fn default() -> Self {
        Self {
            hang_s: 3.0,
            desense: Desense::default(),
            squelch: Squelch::default(),
            tone: None,
            audio: RepeatedAudio::default(),
            key_delay_s: 0.06,
            anti_kerchunk_s: 0.0,
            courtesy: None,
            identifier: None,
            time_out: None,
            transmitter: Transmitter::default(),
        }
    }
}

/// The audio path from receiver to transmitter, as its keeper set it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct RepeatedAudio {
    /// Deviation out over deviation in.
    pub gain_db: f64,
    /// Lower end of what passes.
    pub low_hz: f64,
    /// Upper end of what passes.
    pub high_hz: f64,
}

impl Default for RepeatedAudio {
    fn default() -> Self {
        Self {
            gain_db: 0.0,
            low_hz: 300.0,
            high_hz: 3000.0,
        }
    }
}

/// A noise-operated squelch.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Squelch {
    /// Carrier-to-noise ratio at which it opens.
    pub opens_at_cnr_db: f64,
    /// It closes this much lower.
    pub hysteresis_db: f64,
    /// Carrier must be seen this long before the audio opens.
    pub opening_s: f64,
    /// Carrier must be missed this long before the audio closes: the squelch tail's length.
    pub closing_s: f64,
}

impl Default for Squelch {
    fn default() -> Self {
        Self {
            opens_at_cnr_db: 4.0,
            hysteresis_db: 2.0,
            opening_s: 0.08,
            closing_s: 0.15,
        }
    }
}

/// Decoder of a sub-audible tone.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct ToneDecoder {
    /// The tone.
    pub ctcss_hz: f64,
    /// The tone must be missed this long before the input is lost.
    pub drop_s: f64,
}

impl Default for ToneDecoder {
    fn default() -> Self {
        Self {
            ctcss_hz: 100.0,
            drop_s: 0.05,
        }
    }
}

impl Repeater {
    pub(super) fn check(&self, check: &Check<'_>) -> Result<()> {
        check.within("repeater.hang_s", self.hang_s, 0.0, 600.0)?;
        check.within("repeater.key_delay_s", self.key_delay_s, 0.0, 10.0)?;
        check.within("repeater.anti_kerchunk_s", self.anti_kerchunk_s, 0.0, 10.0)?;
        check.within("repeater.audio.gain_db", self.audio.gain_db, -30.0, 20.0)?;
        check.within("repeater.audio.low_hz", self.audio.low_hz, 30.0, 1000.0)?;
        check.within("repeater.audio.high_hz", self.audio.high_hz, 1500.0, 5000.0)?;
        self.desense.check(check)?;
        self.squelch.check(check, "repeater.squelch")?;
        if let Some(tone) = &self.tone {
            check.within("repeater.tone.ctcss_hz", tone.ctcss_hz, 60.0, 260.0)?;
            check.within("repeater.tone.drop_s", tone.drop_s, 0.0, 2.0)?;
        }
        if let Some(courtesy) = &self.courtesy {
            courtesy.check(check, "repeater.courtesy")?;
        }
        if let Some(id) = &self.identifier {
            id.check(check)?;
        }
        if let Some(time_out) = &self.time_out {
            time_out.check(check)?;
        }
        self.transmitter.check(check)
    }
}

impl Squelch {
    pub(super) fn check(&self, check: &Check<'_>, key: &str) -> Result<()> {
        check.within(
            &format!("{key}.opens_at_cnr_db"),
            self.opens_at_cnr_db,
            -1.0,
            14.0,
        )?;
        check.within(
            &format!("{key}.hysteresis_db"),
            self.hysteresis_db,
            0.0,
            10.0,
        )?;
        check.within(&format!("{key}.opening_s"), self.opening_s, 0.0, 2.0)?;
        check.within(&format!("{key}.closing_s"), self.closing_s, 0.0, 2.0)
    }
}
