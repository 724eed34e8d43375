//! What keeps the sound.

use super::Check;
use crate::error::Result;
use serde::{Deserialize, Serialize};

/// A recorder.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Recorder {
    /// Samples a second in the file.
    pub rate_hz: u32,
    /// Bits a sample: 8, 16, 24.
    pub bits: u16,
    /// Gain.
    pub gain_db: f64,
    /// Own noise.
    pub noise_dbfs: f64,
    /// The recorder's noise stops while the set is mute: a radio program writes zeros.
    pub digital_mute: bool,
    /// Error of the clock; positive makes the file longer.
    pub clock_ppm: f64,
    /// Slow swings of the speed, in percent.
    pub wow_percent: f64,
    /// Hum.
    pub hum_dbfs: Option<f64>,
    /// Frequency of the hum.
    pub hum_hz: f64,
    /// DC offset as a share of full scale.
    pub dc: f64,
    /// Channels: 1 or 2.
    pub channels: u16,
    /// Where the radio is, in a file of two channels.
    pub radio_on: OnlyOn,
    /// What leaks to the other channel; `None` leaves it to the recorder's noise.
    pub crosstalk_db: Option<f64>,
    /// Held up to a loudspeaker.
    pub phone: Option<Phone>,
    /// Stops when it hears nothing.
    pub voice_activated: Option<VoiceActivation>,
}

impl Default for Recorder {
    fn default() -> Self {
        Self {
            rate_hz: 16_000,
            bits: 16,
            gain_db: 0.0,
            noise_dbfs: -75.0,
            digital_mute: false,
            clock_ppm: 0.0,
            wow_percent: 0.0,
            hum_dbfs: None,
            hum_hz: 50.0,
            dc: 0.0,
            channels: 1,
            radio_on: OnlyOn::Both,
            crosstalk_db: None,
            phone: None,
            voice_activated: None,
        }
    }
}

/// Channels that carry the radio.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum OnlyOn {
    /// Both alike.
    #[default]
    Both,
    /// Left only.
    Left,
    /// Right only.
    Right,
}

/// A phone held up to a loudspeaker.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Phone {
    /// Lower end of the loudspeaker.
    pub speaker_low_hz: f64,
    /// Upper end of the loudspeaker.
    pub speaker_high_hz: f64,
    /// Resonances of the loudspeaker, 0 none to 1 boxy.
    pub boxy: f64,
    /// Reverberation time of the room.
    pub reverb_s: f64,
    /// Reverberant over direct sound.
    pub reverb_db: f64,
    /// Room noise below the loudness of a tone of full deviation.
    pub room_db: f64,
    /// Colour of the room noise: slope in dB an octave (0 white, -3 pink, -6 brown).
    pub room_slope_db: f64,
    /// Now and then something knocks: events a minute.
    pub knocks_per_min: f64,
    /// Somebody talks beside it.
    pub beside: Option<Beside>,
    /// Automatic gain control.
    pub agc: bool,
    /// How far the gain can rise above its value for a loud sound.
    pub agc_range_db: f64,
    /// Time for the gain to rise again.
    pub agc_release_s: f64,
    /// Level before the clipping at full scale (0 dB): a loud speaker clips.
    pub level_dbfs: f64,
}

impl Default for Phone {
    fn default() -> Self {
        Self {
            speaker_low_hz: 400.0,
            speaker_high_hz: 4000.0,
            boxy: 0.5,
            reverb_s: 0.3,
            reverb_db: -9.0,
            room_db: -30.0,
            room_slope_db: -4.0,
            knocks_per_min: 1.0,
            beside: None,
            agc: true,
            agc_range_db: 18.0,
            agc_release_s: 1.0,
            level_dbfs: -14.0,
        }
    }
}

/// Somebody who talks beside the recorder.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Beside {
    /// When: pairs of start and end. Empty draws times by `share`.
    pub hold: Vec<[f64; 2]>,
    /// Share of the time, where `hold` is empty.
    pub share: f64,
    /// Loudness over a tone of full deviation from the loudspeaker.
    pub level_db: f64,
}

impl Default for Beside {
    fn default() -> Self {
        Self {
            hold: Vec::new(),
            share: 0.15,
            level_db: -4.0,
        }
    }
}

/// A recorder that stops when it hears nothing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct VoiceActivation {
    /// It goes on this long after the sound has stopped.
    pub hold_s: f64,
    /// It keeps this much from before the sound.
    pub pre_roll_s: f64,
    /// Sound is what is above this.
    pub threshold_dbfs: f64,
    /// It follows the set's squelch line instead of the sound.
    pub by_squelch: bool,
    /// One file, or a clip for each stretch.
    pub keep: Keep,
    /// Clips shorter than this are thrown away.
    pub least_s: f64,
}

impl Default for VoiceActivation {
    fn default() -> Self {
        Self {
            hold_s: 0.5,
            pre_roll_s: 0.0,
            threshold_dbfs: -50.0,
            by_squelch: false,
            keep: Keep::OneFile,
            least_s: 0.0,
        }
    }
}

/// What a voice-activated recorder makes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum Keep {
    /// One file with the mute cut out.
    #[default]
    OneFile,
    /// A clip for each stretch, with its start time.
    Clips,
}

impl Recorder {
    pub(super) fn check(&self, check: &Check<'_>) -> Result<()> {
        check.within(
            "recorder.rate_hz",
            f64::from(self.rate_hz),
            8000.0,
            192_000.0,
        )?;
        if ![8, 16, 24].contains(&self.bits) {
            return Err(check.error("recorder.bits", "is not offered", "give 8, 16 or 24"));
        }
        check.within("recorder.channels", f64::from(self.channels), 1.0, 2.0)?;
        check.within("recorder.gain_db", self.gain_db, -80.0, 60.0)?;
        check.within("recorder.noise_dbfs", self.noise_dbfs, -140.0, -10.0)?;
        check.within("recorder.clock_ppm", self.clock_ppm, -50_000.0, 50_000.0)?;
        check.within("recorder.wow_percent", self.wow_percent, 0.0, 5.0)?;
        if let Some(hum) = self.hum_dbfs {
            check.within("recorder.hum_dbfs", hum, -120.0, 0.0)?;
        }
        check.within("recorder.hum_hz", self.hum_hz, 10.0, 1000.0)?;
        check.within("recorder.dc", self.dc, -1.0, 1.0)?;
        if let Some(phone) = &self.phone {
            phone.check(check)?;
        }
        if let Some(cut) = &self.voice_activated {
            check.within("recorder.voice_activated.hold_s", cut.hold_s, 0.0, 60.0)?;
            check.within(
                "recorder.voice_activated.pre_roll_s",
                cut.pre_roll_s,
                0.0,
                60.0,
            )?;
            check.within("recorder.voice_activated.least_s", cut.least_s, 0.0, 60.0)?;
        }
        Ok(())
    }
}

impl Phone {
    fn check(&self, check: &Check<'_>) -> Result<()> {
        let key = "recorder.phone";
        check.within(
            &format!("{key}.speaker_low_hz"),
            self.speaker_low_hz,
            20.0,
            1500.0,
        )?;
        check.within(
            &format!("{key}.speaker_high_hz"),
            self.speaker_high_hz,
            1600.0,
            20_000.0,
        )?;
        check.within(&format!("{key}.boxy"), self.boxy, 0.0, 1.0)?;
        check.within(&format!("{key}.reverb_s"), self.reverb_s, 0.02, 5.0)?;
        check.within(&format!("{key}.reverb_db"), self.reverb_db, -80.0, 10.0)?;
        check.within(&format!("{key}.room_db"), self.room_db, -100.0, 10.0)?;
        check.within(
            &format!("{key}.room_slope_db"),
            self.room_slope_db,
            -9.0,
            3.0,
        )?;
        check.within(
            &format!("{key}.knocks_per_min"),
            self.knocks_per_min,
            0.0,
            600.0,
        )?;
        check.within(&format!("{key}.agc_range_db"), self.agc_range_db, 0.0, 60.0)?;
        check.within(
            &format!("{key}.agc_release_s"),
            self.agc_release_s,
            0.05,
            30.0,
        )?;
        check.within(&format!("{key}.level_dbfs"), self.level_dbfs, -60.0, 20.0)?;
        match &self.beside {
            Some(beside) => check.within(&format!("{key}.beside.share"), beside.share, 0.0, 1.0),
            None => Ok(()),
        }
    }
}
