//! The repeater: receiver, squelch, controller, transmitter, and what ails them.

use super::Check;
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

/// Rise of the noise floor by the own transmitter.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Desense {
    /// Rise.
    pub db: f64,
    /// How steadily.
    pub kind: DesenseKind,
    /// Arcing: chance that a key-up (or a moment of a transmission) finds it arcing.
    pub share: f64,
    /// Arcing: mean time to the next change within a transmission.
    pub dwell_s: f64,
    /// Arcing: impulses a second while it arcs.
    pub crackle_per_s: f64,
    /// Arcing: strength of an impulse over the quiet noise floor.
    pub crackle_db: f64,
}

impl Default for Desense {
    fn default() -> Self {
        Self {
            db: 0.0,
            kind: DesenseKind::Constant,
            share: 0.75,
            dwell_s: 0.8,
            crackle_per_s: 150.0,
            crackle_db: 22.0,
        }
    }
}

/// How steadily the floor rises.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum DesenseKind {
    /// Always, while the transmitter is on.
    #[default]
    Constant,
    /// As from an arcing joint: now and then, with crackle.
    Arcing,
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

/// How the tail ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum TailEnd {
    /// The carrier just leaves.
    #[default]
    Plain,
    /// The sub-audible tone turns its phase, so that tone-squelched sets close in time.
    ReverseBurst,
    /// The sub-audible tone stops before the carrier leaves.
    ToneFirst,
    /// The sub-audible tone goes with the user's audio: no tone in the tail.
    ToneWithInput,
}

/// A transmitter.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Transmitter {
    /// From keyed to full carrier.
    pub rise_s: f64,
    /// Sub-audible tone.
    pub ctcss_hz: Option<f64>,
    /// How the tail ends.
    pub tail_end: TailEnd,
    /// Length of a reverse burst, or how early the tone stops.
    pub tail_end_s: f64,
    /// Deviation of hum, as a share of the rated one.
    pub hum: f64,
    /// Frequency of the hum.
    pub hum_hz: f64,
    /// Frequency error at key-up that dies out within 50 ms or so.
    pub chirp_hz: f64,
    /// What fails.
    pub fault: Option<TransmitterFault>,
}

impl Default for Transmitter {
    fn default() -> Self {
        Self {
            rise_s: 0.01,
            ctcss_hz: None,
            tail_end: TailEnd::Plain,
            tail_end_s: 0.16,
            hum: 0.0,
            hum_hz: 100.0,
            chirp_hz: 0.0,
            fault: None,
        }
    }
}

/// Drop-outs of the carrier while keyed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct TransmitterFault {
    /// Mean carrier time until it drops out.
    pub on_s: f64,
    /// Spread of that time (standard deviation of its logarithm): 0 is a thermal switch, 1 chance.
    pub on_spread: f64,
    /// Mean time until it comes back.
    pub off_s: f64,
    /// Spread of that time.
    pub off_spread: f64,
    /// Before a drop-out the frequency sags by this.
    pub sag_hz: f64,
    /// Before a drop-out the hum rises to this share of the rated deviation.
    pub sag_hum: f64,
    /// The transmitter stays off until it is keyed anew.
    pub until_rekeyed: bool,
}

impl Default for TransmitterFault {
    fn default() -> Self {
        Self {
            on_s: 6.0,
            on_spread: 0.4,
            off_s: 0.8,
            off_spread: 0.4,
            sag_hz: 0.0,
            sag_hum: 0.0,
            until_rekeyed: false,
        }
    }
}

/// A link to a second repeater which, wrongly, carries both repeaters' tails.
///
/// The link radio at each end cannot hear while it sends.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Link {
    /// The far repeater.
    pub far: LinkEnd,
    /// From a far key-up to a good input by way of the link, either direction.
    pub delay_s: f64,
    /// From the far drop to the loss of the input.
    pub release_s: f64,
    /// Deviation of the link's noise, as a share of the rated one.
    pub noise: f64,
}

impl Default for Link {
    fn default() -> Self {
        Self {
            far: LinkEnd::default(),
            delay_s: 0.25,
            release_s: 0.06,
            noise: 0.004,
        }
    }
}

/// Controller of the far repeater.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LinkEnd {
    /// Hang time.
    pub hang_s: f64,
    /// Tones after each over.
    pub courtesy: Option<CourtesyTone>,
}

impl Default for LinkEnd {
    fn default() -> Self {
        let courtesy = CourtesyTone {
            tones_hz: vec![660.0],
            ..CourtesyTone::default()
        };
        Self {
            hang_s: 2.0,
            courtesy: Some(courtesy),
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
        check.within("repeater.desense.db", self.desense.db, 0.0, 60.0)?;
        check.within("repeater.desense.share", self.desense.share, 0.0, 1.0)?;
        check.within(
            "repeater.desense.dwell_s",
            self.desense.dwell_s,
            0.005,
            3600.0,
        )?;
        check.within(
            "repeater.desense.crackle_per_s",
            self.desense.crackle_per_s,
            0.0,
            20_000.0,
        )?;
        check.within(
            "repeater.desense.crackle_db",
            self.desense.crackle_db,
            0.0,
            80.0,
        )?;
        self.squelch.check(check, "repeater.squelch")?;
        if let Some(tone) = &self.tone {
            check.within("repeater.tone.ctcss_hz", tone.ctcss_hz, 60.0, 260.0)?;
            check.within("repeater.tone.drop_s", tone.drop_s, 0.0, 2.0)?;
        }
        if let Some(courtesy) = &self.courtesy {
            courtesy.check(check, "repeater.courtesy")?;
        }
        if let Some(id) = &self.identifier {
            check.within("repeater.identifier.pitch_hz", id.pitch_hz, 200.0, 3000.0)?;
            check.within("repeater.identifier.wpm", id.wpm, 4.0, 60.0)?;
            check.within("repeater.identifier.every_s", id.every_s, 1.0, 86_400.0)?;
        }
        if let Some(time_out) = &self.time_out {
            check.within("repeater.time_out.after_s", time_out.after_s, 0.5, 3600.0)?;
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

impl CourtesyTone {
    fn check(&self, check: &Check<'_>, key: &str) -> Result<()> {
        for hz in &self.tones_hz {
            check.within(&format!("{key}.tones_hz"), *hz, 100.0, 3500.0)?;
        }
        check.within(&format!("{key}.each_s"), self.each_s, 0.005, 5.0)?;
        check.within(&format!("{key}.delay_s"), self.delay_s, 0.0, 10.0)?;
        check.within(&format!("{key}.deviation"), self.deviation, 0.0, 1.0)
    }
}

impl Transmitter {
    fn check(&self, check: &Check<'_>) -> Result<()> {
        let key = "repeater.transmitter";
        check.within(&format!("{key}.rise_s"), self.rise_s, 0.0, 1.0)?;
        check.within(&format!("{key}.hum"), self.hum, 0.0, 1.0)?;
        check.within(&format!("{key}.hum_hz"), self.hum_hz, 20.0, 1000.0)?;
        check.within(&format!("{key}.chirp_hz"), self.chirp_hz, -5000.0, 5000.0)?;
        check.within(&format!("{key}.tail_end_s"), self.tail_end_s, 0.0, 2.0)?;
        if let Some(hz) = self.ctcss_hz {
            check.within(&format!("{key}.ctcss_hz"), hz, 60.0, 260.0)?;
        }
        if let Some(fault) = &self.fault {
            check.within(&format!("{key}.fault.on_s"), fault.on_s, 0.05, 3600.0)?;
            check.within(&format!("{key}.fault.off_s"), fault.off_s, 0.02, 3600.0)?;
            check.within(&format!("{key}.fault.on_spread"), fault.on_spread, 0.0, 3.0)?;
            check.within(
                &format!("{key}.fault.off_spread"),
                fault.off_spread,
                0.0,
                3.0,
            )?;
        }
        Ok(())
    }
}

impl Link {
    pub(super) fn check(&self, check: &Check<'_>) -> Result<()> {
        check.within("link.delay_s", self.delay_s, 0.0, 10.0)?;
        check.within("link.release_s", self.release_s, 0.0, 10.0)?;
        check.within("link.noise", self.noise, 0.0, 1.0)?;
        check.within("link.far.hang_s", self.far.hang_s, 0.0, 600.0)?;
        match &self.far.courtesy {
            Some(courtesy) => courtesy.check(check, "link.far.courtesy"),
            None => Ok(()),
        }
    }
}
