//! Who talks into the repeater, and how the signal gets there.

use super::Check;
use crate::error::Result;
use serde::{Deserialize, Serialize};

/// Somebody with a transmitter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct User {
    /// For the labels.
    pub name: String,
    /// Level as carrier-to-noise ratio in the receiver's filter, transmitter off.
    pub cnr_db: Option<f64>,
    /// Level above the repeater's squelch opening. The default is 20 dB.
    pub margin_db: Option<f64>,
    /// Level as a place in the window that cycles: 0 just opens the squelch with the transmitter
    /// off, 1 just holds it open with the transmitter on; above 1 holds, below 0 never opens.
    pub in_window: Option<f64>,
    /// Stepped back-off test: pairs of time and dB below the level that just holds with the
    /// transmitter on. Negative raises the level.
    pub backoff: Option<Vec<[f64; 2]>>,
    /// What becomes of the level on its way.
    pub path: Path,
    /// When the key is held: pairs of start and end.
    pub hold: Vec<[f64; 2]>,
    /// Short tries by hand.
    pub kerchunks: Option<Kerchunks>,
    /// What is said.
    pub modulation: Modulation,
    /// Frequency, for a tone.
    pub tone_hz: f64,
    /// Digits, for DTMF: sent once at the start of each hold, then silence.
    pub digits: String,
    /// File of sound, for `modulation = "file"`: mono or stereo WAV.
    pub file: Option<String>,
    /// Pitch of the voice; drawn by seed where not given.
    pub pitch_hz: Option<f64>,
    /// Loudness: peak deviation as a share of the channel's rated deviation.
    pub deviation: f64,
    /// Sub-audible tone that the user sends. Where the repeater wants one and nothing is written
    /// here, the user sends that one; 0 sends none.
    pub ctcss_hz: Option<f64>,
    /// Error of the transmitter's frequency.
    pub offset_hz: f64,
    /// This user stands beside the listener's set, which cannot hear meanwhile.
    pub near_listener: bool,
}

impl Default for User {
    fn default() -> Self {
        Self {
            name: "user".into(),
            cnr_db: None,
            margin_db: None,
            in_window: None,
            backoff: None,
            path: Path::default(),
            hold: Vec::new(),
            kerchunks: None,
            modulation: Modulation::Speech,
            tone_hz: 1000.0,
            digits: String::new(),
            file: None,
            pitch_hz: None,
            deviation: 0.8,
            ctcss_hz: None,
            offset_hz: 0.0,
            near_listener: false,
        }
    }
}

/// What modulates a carrier.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum Modulation {
    /// A synthetic voice.
    #[default]
    Speech,
    /// A steady tone.
    Tone,
    /// Nothing.
    Silence,
    /// DTMF digits.
    Dtmf,
    /// Sound from a file.
    File,
}

/// Short tries by hand, at human times.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Kerchunks {
    /// Mean time between the end of one and the start of the next.
    pub every_s: f64,
    /// Mean length.
    pub length_s: f64,
    /// How unevenly: standard deviation of the logarithm of both times.
    pub spread: f64,
    /// The first one.
    pub first_s: f64,
    /// None after this time; the end of the scene where not given.
    pub until_s: Option<f64>,
}

impl Default for Kerchunks {
    fn default() -> Self {
        Self {
            every_s: 7.0,
            length_s: 0.4,
            spread: 0.5,
            first_s: 2.0,
            until_s: None,
        }
    }
}

/// What becomes of a signal's level on its way.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
pub struct Path {
    /// Fast fading.
    pub fading: Fading,
    /// Line-of-sight power over scattered power, for Rician fading.
    pub k_db: f64,
    /// Speed; with the scene's band gives the Doppler frequency.
    pub speed_kmh: f64,
    /// Doppler frequency, where it is to be set directly.
    pub doppler_hz: Option<f64>,
    /// Standard deviation of slow, log-normal shadowing.
    pub shadow_db: f64,
    /// Its correlation time; 5 s where 0.
    pub shadow_s: f64,
    /// Steady drift of the level.
    pub drift_db_per_min: f64,
    /// Added level by time: pairs of start and dB, each holding to the next.
    pub steps: Vec<[f64; 2]>,
}

/// Kinds of fast fading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum Fading {
    /// None.
    #[default]
    None,
    /// Scattered waves only.
    Rayleigh,
    /// A direct wave and scattered ones.
    Rician,
}

/// People who talk by turns through the repeater.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Traffic {
    /// How many.
    pub stations: usize,
    /// Mean length of an over.
    pub over_s: f64,
    /// Mean pause between overs.
    pub pause_s: f64,
    /// How unevenly: standard deviation of the logarithm of both times.
    pub spread: f64,
    /// Begin.
    pub start_s: f64,
    /// End; the end of the scene where not given.
    pub end_s: Option<f64>,
    /// Levels above the repeater's squelch opening are drawn evenly between these.
    pub margin_db: [f64; 2],
    /// What becomes of the levels on their way.
    pub path: Path,
    /// This share of the stations (the first ones) stands beside the listener's set.
    pub near_listener: usize,
}

impl Default for Traffic {
    fn default() -> Self {
        Self {
            stations: 2,
            over_s: 9.0,
            pause_s: 1.5,
            spread: 0.6,
            start_s: 1.0,
            end_s: None,
            margin_db: [12.0, 35.0],
            path: Path::default(),
            near_listener: 0,
        }
    }
}

impl User {
    pub(super) fn check(&self, check: &Check<'_>, key: &str) -> Result<()> {
        let levels = [self.cnr_db, self.margin_db, self.in_window];
        let given = levels.iter().flatten().count() + usize::from(self.backoff.is_some());
        if given > 1 {
            return Err(check.error(
                key,
                "has more than one level",
                "keep one of cnr_db, margin_db, in_window, backoff",
            ));
        }
        for level in levels.iter().flatten() {
            check.within(&format!("{key} level"), *level, -60.0, 100.0)?;
        }
        for [from, to] in &self.hold {
            if !(from.is_finite() && to.is_finite() && from < to) {
                return Err(check.error(
                    &format!("{key}.hold"),
                    &format!("[{from}, {to}] is no span"),
                    "write [start, end] in seconds with start before end",
                ));
            }
        }
        increasing(
            check,
            &format!("{key}.backoff"),
            self.backoff.as_deref().unwrap_or(&[]),
        )?;
        check.within(&format!("{key}.deviation"), self.deviation, 0.0, 1.5)?;
        check.within(&format!("{key}.tone_hz"), self.tone_hz, 1.0, 10_000.0)?;
        check.within(&format!("{key}.offset_hz"), self.offset_hz, -5000.0, 5000.0)?;
        if self.modulation == Modulation::File && self.file.is_none() {
            return Err(check.error(&format!("{key}.file"), "is missing", "name a WAV file"));
        }
        if let Some(kerchunks) = &self.kerchunks {
            check.within(
                &format!("{key}.kerchunks.every_s"),
                kerchunks.every_s,
                0.05,
                3600.0,
            )?;
            check.within(
                &format!("{key}.kerchunks.length_s"),
                kerchunks.length_s,
                0.01,
                600.0,
            )?;
            check.within(
                &format!("{key}.kerchunks.spread"),
                kerchunks.spread,
                0.0,
                3.0,
            )?;
        }
        self.path.check(check, &format!("{key}.path"))
    }
}

impl Path {
    pub(super) fn check(&self, check: &Check<'_>, key: &str) -> Result<()> {
        check.within(&format!("{key}.k_db"), self.k_db, -40.0, 60.0)?;
        check.within(&format!("{key}.speed_kmh"), self.speed_kmh, 0.0, 1000.0)?;
        if let Some(hz) = self.doppler_hz {
            check.within(&format!("{key}.doppler_hz"), hz, 0.0, 2000.0)?;
        }
        check.within(&format!("{key}.shadow_db"), self.shadow_db, 0.0, 30.0)?;
        check.within(&format!("{key}.shadow_s"), self.shadow_s, 0.0, 3600.0)?;
        check.within(
            &format!("{key}.drift_db_per_min"),
            self.drift_db_per_min,
            -600.0,
            600.0,
        )?;
        increasing(check, &format!("{key}.steps"), &self.steps)
    }
}

impl Traffic {
    pub(super) fn check(&self, check: &Check<'_>) -> Result<()> {
        check.within("traffic.stations", self.stations as f64, 1.0, 20.0)?;
        check.within("traffic.over_s", self.over_s, 0.2, 3600.0)?;
        check.within("traffic.pause_s", self.pause_s, 0.05, 3600.0)?;
        check.within("traffic.spread", self.spread, 0.0, 3.0)?;
        check.within("traffic.margin_db.0", self.margin_db[0], -60.0, 100.0)?;
        check.within(
            "traffic.margin_db.1",
            self.margin_db[1],
            self.margin_db[0],
            100.0,
        )?;
        self.path.check(check, "traffic.path")
    }
}

/// Pairs of time and value with rising times.
fn increasing(check: &Check<'_>, key: &str, pairs: &[[f64; 2]]) -> Result<()> {
    let finite = pairs.iter().flatten().all(|x| x.is_finite());
    if finite && pairs.windows(2).all(|w| w[0][0] < w[1][0]) {
        return Ok(());
    }
    Err(check.error(
        key,
        "has times that do not rise",
        "write [[time_s, dB], ...] in order",
    ))
}
