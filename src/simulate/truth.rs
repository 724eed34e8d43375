//! What really happened: the labels that go with a rendering.
//!
//! All times are seconds on the *recording's* clock: after the clock error, the recorder's cuts
//! and the scanner's lateness. Moments on the air are stored beside the moments as heard.
//!
//! | moment | as heard |
//! |---|---|
//! | key-up | the listener's audio opens (opening delay of the set included); with an open squelch, when the hiss collapses |
//! | input loss | the repeater's squelch mutes the user: the *end* of its squelch tail |
//! | carrier drop | the transmitter's carrier leaves: the listener's squelch tail or hiss begins |

use crate::cause::verdict::Cause;
use crate::timeline::types::ListeningMode;
use serde::{Deserialize, Serialize};

/// The schema's name in the labels file.
pub const SCHEMA: &str = "tailbeat.truth/1";

/// Labels of one rendering.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Truth {
    /// [`SCHEMA`].
    pub schema: String,
    /// Name of the scenario.
    pub scenario: String,
    /// Family of scenarios, for splits.
    pub family: String,
    /// Kind of recorder, for splits.
    pub recorder: RecorderKind,
    /// Difficulty of the way of recording.
    pub tier: Tier,
    /// Seed of the rendering.
    pub seed: u64,
    /// What caused the drops.
    pub cause: Cause,
    /// True where the recording cannot tell the cause and "inconclusive" is a right answer.
    pub inconclusive_allowed: bool,
    /// True where the desense came and went.
    pub intermittent: bool,
    /// How carrier and no carrier can be told apart in this recording.
    pub mode: ListeningMode,
    /// Length of the recording.
    pub duration_s: f64,
    /// Hang timer of the repeater, if there is a repeater.
    pub hang_time_s: Option<f64>,
    /// Rise of the repeater's noise floor while it transmits.
    pub desense_db: Option<f64>,
    /// Squelch hysteresis of the repeater's receiver, in dB of signal.
    pub hysteresis_db: Option<f64>,
    /// Carrier-to-noise ratio at which the repeater's squelch opens, transmitter off.
    pub squelch_opens_db: Option<f64>,
    /// Sub-audible tone that the repeater sends.
    pub ctcss_hz: Option<f64>,
    /// The repeater's transmissions, those not heard included.
    pub transmissions: Vec<TrueTransmission>,
    /// Events in order of time.
    pub events: Vec<TrueEvent>,
    /// One entry per carrier drop that was heard.
    pub drops: Vec<TrueDrop>,
    /// When the repeater's receiver passed a user, begin and end.
    #[serde(default)]
    pub input_s: Vec<[f64; 2]>,
    /// When somebody held a key, begin and end.
    #[serde(default)]
    pub keyed_s: Vec<[f64; 2]>,
    /// When the listener's set let sound out, begin and end.
    #[serde(default)]
    pub audio_open_s: Vec<[f64; 2]>,
    /// User's level at the repeater, a value every [`LEVEL_STEP_S`] or so.
    pub levels: Vec<LevelSample>,
    /// How the scene's clock maps to the recording's.
    pub clock: Vec<ClockPiece>,
    /// The chain in words for people: listener and recorder.
    pub description: String,
}

/// Nominal step of [`Truth::levels`].
pub const LEVEL_STEP_S: f64 = 0.1;

/// Kinds of recorder.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, Default,
)]
#[serde(rename_all = "snake_case")]
pub enum RecorderKind {
    /// A cable, or a radio program's own recording.
    #[default]
    Line,
    /// A phone held up to a loudspeaker.
    Phone,
    /// A recorder that stops when it hears nothing.
    VoiceActivated,
}

/// How hard the way of recording makes it.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, Default,
)]
#[serde(rename_all = "snake_case")]
pub enum Tier {
    /// Recorded by line from a squelched set.
    #[default]
    Line,
    /// Recorded by line from an open set.
    Open,
    /// By line, but through a lossy codec.
    Codec,
    /// A phone held up to a loudspeaker.
    Phone,
    /// Several troubles at once.
    Hard,
    /// A voice-activated recorder cut the mute out.
    Cut,
}

/// One transmission of the repeater, or the piece of it that was heard.
///
/// A listener whose own path fades hears one transmission as several pieces: each is an entry
/// with the same moments on the air.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TrueTransmission {
    /// Carrier comes up.
    pub on_air_start_s: f64,
    /// Carrier leaves.
    pub on_air_end_s: f64,
    /// The listener's audio opens; `None` when nothing of it was heard.
    pub heard_start_s: Option<f64>,
    /// The carrier leaves the listener.
    pub heard_end_s: Option<f64>,
    /// False where the listener or the recording joined late.
    pub start_known: bool,
    /// False where the recording stops first.
    pub end_known: bool,
}

/// One true event.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueEvent {
    /// As heard in the recording.
    pub t_s: f64,
    /// On the air, on the recording's clock.
    pub on_air_t_s: f64,
    /// What.
    pub kind: TrueEventKind,
    /// False when the listener or the recorder missed it (then `t_s` is only where it would be).
    pub heard: bool,
    /// End, for tones and identifiers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub end_s: Option<f64>,
    /// First frequency, for tones and identifiers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frequency_hz: Option<f64>,
    /// Speed of an identifier in words a minute.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wpm: Option<f64>,
    /// DTMF digit, where it is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub digit: Option<char>,
}

/// Kinds of true event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TrueEventKind {
    /// Carrier comes up.
    KeyUp,
    /// The repeater's receiver opens for a user within a running transmission.
    InputReturn,
    /// The repeater's receiver mutes the user.
    InputLoss,
    /// Carrier leaves.
    CarrierDrop,
    /// Tone of the controller after an over.
    CourtesyTone,
    /// Morse identifier.
    StationId,
    /// A tone that a user sent.
    Tone,
}

/// One heard carrier drop with the transmission that it ended; as heard, `None` where a cut of
/// the recorder or the edge of the recording hides it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TrueDrop {
    /// The drop.
    pub drop_s: f64,
    /// The next key-up in the recording.
    pub rekey_s: Option<f64>,
    /// From drop to re-key.
    pub gap_s: Option<f64>,
    /// Length of the transmission that ended.
    pub on_s: Option<f64>,
    /// Key-up to the first loss of the input.
    pub blip_s: Option<f64>,
    /// Last loss of the input to the drop.
    pub tail_s: Option<f64>,
    /// Re-keyed within the latency that the repeater's own circuits need; `None` where cuts or
    /// the end of the recording hide the outcome.
    pub came_back: Option<bool>,
    /// A user held the key at the drop (so the drop is a trial).
    pub user_keyed: bool,
    /// The repeater's carrier stayed up: the listener's own path or set made this drop.
    pub by_listener: bool,
    /// The same spans on the air, without the listener and the recorder.
    pub on_air: OnAirSpans,
}

/// Spans of one cycle on the air.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, Default)]
pub struct OnAirSpans {
    /// Key-up to the first loss of the input.
    pub blip_s: Option<f64>,
    /// Last loss of the input to the drop.
    pub tail_s: Option<f64>,
    /// Key-up to drop.
    pub on_s: Option<f64>,
    /// Drop to the next key-up.
    pub gap_s: Option<f64>,
    /// Key-up to the next key-up.
    pub period_s: Option<f64>,
}

/// User's level at one moment.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LevelSample {
    /// When.
    pub t_s: f64,
    /// Strongest keyed user over the quiet noise floor; `None` when nobody keys.
    pub user_cnr_db: Option<f64>,
    /// Rise of the noise floor at this moment.
    pub floor_rise_db: f64,
    /// The repeater's carrier over the listener's noise floor; `None` when it is off.
    pub listener_cnr_db: Option<f64>,
}

/// A stretch of the scene that the recorder kept: `recorded_s = scene_s` mapped linearly.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClockPiece {
    /// Start in the scene.
    pub scene_start_s: f64,
    /// End in the scene.
    pub scene_end_s: f64,
    /// Start in the recording.
    pub recorded_start_s: f64,
    /// Seconds of recording per second of scene.
    pub rate: f64,
}

impl Truth {
    /// Reads labels as they stand beside a recording.
    ///
    /// # Errors
    /// They are not of this form; in words.
    pub fn read(text: &[u8]) -> Result<Self, String> {
        let truth: Self = serde_json::from_slice(text).map_err(|fault| fault.to_string())?;
        if truth.schema == SCHEMA {
            Ok(truth)
        } else {
            Err(format!("its form is {}, not {SCHEMA}", truth.schema))
        }
    }

    /// Heard drops that were trials and came back.
    #[must_use]
    pub fn came_back(&self) -> usize {
        self.drops
            .iter()
            .filter(|d| d.user_keyed && d.came_back == Some(true))
            .count()
    }

    /// Events of one kind that were heard, in order of time.
    pub fn heard(&self, kind: TrueEventKind) -> impl Iterator<Item = &TrueEvent> {
        self.events
            .iter()
            .filter(move |e| e.heard && e.kind == kind)
    }
}
