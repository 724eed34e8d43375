//! The fields of `tailbeat.check/1`. Times are seconds from the start of the recording, levels
//! dB, probabilities 0 to 1, unknown is null.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The name of this format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Format {
    /// Version 1.
    #[serde(rename = "tailbeat.check/1")]
    V1,
}

/// What one recording told.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "tailbeat.check/1")]
pub struct CheckJson {
    /// Name and version of the format.
    pub schema: Format,
    /// The file.
    pub recording: RecordingJson,
    /// How it was listened to.
    pub listening: ListeningJson,
    /// The repeater's transmissions as heard, in order of time.
    pub carrier: Vec<CarrierJson>,
    /// Events in order of time.
    pub events: Vec<EventJson>,
    /// One entry for each carrier drop, in order of time.
    pub drops: Vec<DropJson>,
    /// The controller's hang time; null where no tail tells it.
    pub hang_time: Option<HangTimeJson>,
    /// How often it came back; null where there was no trial.
    pub rekey: Option<RekeyJson>,
    /// What it means.
    pub verdict: VerdictJson,
    /// Stretches of the recording judged each for itself.
    pub episodes: Vec<EpisodeJson>,
    /// Remarks that do not change the label.
    pub notes: Vec<RemarkJson>,
    /// Sub-audible tone that the recording passes, Hz.
    pub ctcss_hz: Option<f64>,
    /// What the user stated beforehand.
    pub stated: StatedJson,
}

/// The file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RecordingJson {
    /// Name as the user gave it, without its folder (`-` for standard input).
    pub name: String,
    /// SHA-256 of the whole file, lower-case hexadecimal.
    #[schemars(regex(pattern = r"^[0-9a-f]{64}$"))]
    pub sha256: String,
    /// Length.
    #[schemars(range(min = 0))]
    pub duration_s: f64,
    /// Rate of the file.
    #[schemars(range(min = 1))]
    pub sample_rate_hz: u32,
    /// Channels in the file.
    #[schemars(range(min = 1))]
    pub channels: u16,
    /// Short lower-case name: `wav`, `mp4`, `ogg`, ...
    pub container: String,
    /// Short lower-case name: `pcm_s16le`, `aac`, `opus`, ...
    pub codec: String,
    /// Start in civil time (RFC 3339, without its offset where none is known).
    pub started_at: Option<String>,
    /// Where it was put together from single clips; else null.
    pub clips: Option<ClipsJson>,
}

/// How single clips were put on one clock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ClipsJson {
    /// Number of clips.
    pub count: usize,
    /// Resolution of their start times: gaps are no better than this.
    pub clock_resolution_s: Option<f64>,
    /// Clips that could not be read.
    pub skipped: Vec<SkippedJson>,
}

/// A clip that could not be read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SkippedJson {
    /// Its name, without its folder.
    pub name: String,
    /// Why.
    pub reason: String,
}

/// How it was listened to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ListeningJson {
    /// How carrier and no carrier can be told apart.
    pub mode: ModeJson,
    /// Upper end of what the audio path passes.
    pub bandwidth_hz: Option<f64>,
    /// Level of the quietest moments.
    pub noise_floor_dbfs: Option<f64>,
    /// Doubts about the recording.
    pub warnings: Vec<RemarkJson>,
}

/// How carrier and no carrier can be told apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ModeJson {
    /// The listener's set is mute without a carrier.
    Squelched,
    /// The listener's set hisses without a carrier.
    OpenSquelch,
    /// Only noise bursts and audio stand out.
    BurstsOnly,
    /// A voice-activated recorder cut the gaps out.
    NoGaps,
    /// Nothing of an FM receiver in it.
    NotFm,
}

/// A remark: a fixed word for machines and a sentence for people.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct RemarkJson {
    /// Fixed word.
    pub code: String,
    /// Sentence.
    pub text: String,
}

/// One transmission.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CarrierJson {
    /// Begin.
    pub start_s: f64,
    /// End.
    pub end_s: f64,
    /// False where the recording joined late, or where the key-up was not surely heard: the time is rough then.
    pub start_known: bool,
    /// False where the recording stops first.
    pub end_known: bool,
}

/// One event.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EventJson {
    /// When.
    pub t_s: f64,
    /// `key_up`, `input_loss`, `carrier_drop`, `courtesy_tone`, `station_id`, `tone`; others may
    /// be added.
    pub kind: String,
    /// Standard deviation of `t_s`.
    pub sd_s: Option<f64>,
    /// Probability that it is real and of this kind.
    pub confidence: Option<f64>,
    /// Pitch, for tones.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub frequency_hz: Option<f64>,
    /// Words a minute, for Morse.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub wpm: Option<f64>,
    /// DTMF digit, where it is one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub digit: Option<char>,
}

/// One carrier drop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DropJson {
    /// The drop.
    pub drop_s: f64,
    /// The next key-up, where it was surely heard.
    pub rekey_s: Option<f64>,
    /// From drop to re-key.
    pub gap_s: Option<f64>,
    /// Length of the transmission that ended here.
    pub on_s: Option<f64>,
    /// Key-up to the first loss of the user.
    pub blip_s: Option<f64>,
    /// Last loss of the user to the drop.
    pub tail_s: Option<f64>,
    /// Re-keyed within the latency window; null where it cannot be told.
    pub came_back: Option<bool>,
    /// User's quieting just before the loss.
    pub quieting_db: Option<f64>,
}

/// The hang time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct HangTimeJson {
    /// Best estimate.
    pub estimate_s: Option<f64>,
    /// Low end of the 95 % interval.
    pub low_s: Option<f64>,
    /// High end.
    pub high_s: Option<f64>,
    /// Tails that it rests on.
    pub count: usize,
}

/// Trials and the beat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RekeyJson {
    /// Drops whose outcome was observable.
    pub trials: usize,
    /// How many came straight back.
    pub came_back: usize,
    /// `came_back / trials`.
    pub fraction: Option<f64>,
    /// Low end of the 95 % Wilson interval.
    pub low: Option<f64>,
    /// High end.
    pub high: Option<f64>,
    /// Median gap of those that came back.
    pub gap_median_s: Option<f64>,
    /// Their coefficient of variation.
    pub gap_cv: Option<f64>,
    /// Median key-up to next key-up.
    pub period_median_s: Option<f64>,
    /// Its coefficient of variation.
    pub period_cv: Option<f64>,
}

/// What it means.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VerdictJson {
    /// The decision.
    pub label: LabelJson,
    /// Probability of the label; for `inconclusive` that of the likeliest cause.
    pub probability: Option<f64>,
    /// Probability of each cause; sums to 1.
    pub posterior: BTreeMap<String, f64>,
    /// What it rests on, weightiest first.
    pub evidence: Vec<EvidenceJson>,
    /// The one thing to do next.
    pub next_step: String,
    /// The same as a fixed word.
    pub next_step_code: String,
}

/// A cause, or the decision that none is probable enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LabelJson {
    /// The repeater's transmitter deafens its own receiver, and it cycles.
    SelfDesense,
    /// The user's signal into the repeater is weak or fading.
    WeakSignalFading,
    /// The listener's own path fades.
    ListenerFading,
    /// The listener's set is deafened by a transmitter beside it.
    ListenerDesense,
    /// People talking.
    OrdinaryTraffic,
    /// Somebody keys by hand.
    HandKeying,
    /// The time-out timer cuts an over.
    TimeoutTimer,
    /// Two linked repeaters hold each other up.
    LinkLoop,
    /// The transmitter or its supply fails.
    TransmitterFault,
    /// Not a repeater's output at all.
    NoRepeaterAudio,
    /// No cause is probable enough.
    Inconclusive,
}

/// One item of evidence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EvidenceJson {
    /// What was measured.
    pub name: String,
    /// Its value.
    pub value: Option<f64>,
    /// Its unit; `1` is a plain number.
    pub unit: String,
    /// log10 of the odds for the label.
    pub log10_odds: Option<f64>,
    /// A sentence for people.
    pub text: String,
}

/// One stretch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EpisodeJson {
    /// Begin.
    pub start_s: f64,
    /// End.
    pub end_s: f64,
    /// Decision for this stretch.
    pub label: LabelJson,
    /// Probability of each cause; sums to 1.
    pub posterior: BTreeMap<String, f64>,
    /// Carrier drops in it.
    pub drops: usize,
}

/// What the user stated beforehand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StatedJson {
    /// The controller's hang time.
    pub hang_s: Option<f64>,
    /// How the recording was made.
    pub mode: Option<ModeJson>,
}
