//! Recordings.

use super::words;
use crate::desk::moment::rfc3339;
use crate::desk::store::rows;
use serde::{Deserialize, Deserializer, Serialize};
use utoipa::ToSchema;

/// A recording.
#[derive(Serialize, ToSchema)]
pub struct RecordingOut {
    /// Key.
    pub id: String,
    /// Key of the repeater.
    pub repeater: String,
    /// SHA-256 of the original.
    pub sha256: String,
    /// Name of the file, as sent.
    pub file_name: String,
    /// Length of the original.
    pub bytes: i64,
    /// When it was received.
    pub received_at: String,
    /// Whether a keeper has opened it.
    pub seen: bool,
    /// Where the member listened.
    pub place: String,
    /// On what set.
    pub set: String,
    /// `open`, `closed` or `unknown`.
    pub squelch: String,
    /// What they noticed.
    pub noticed: String,
    /// Who they are.
    pub sender: String,
    /// `waiting`, `done` or `failed`.
    pub state: String,
    /// Why it could not be analysed.
    pub fault: Option<String>,
    /// Verdict of the program.
    pub label: Option<String>,
    /// Its probability.
    pub probability: Option<f64>,
    /// Hang time found.
    pub hang_s: Option<f64>,
    /// Carrier drops.
    pub drops: Option<i64>,
    /// Drops that count as trials.
    pub trials: Option<i64>,
    /// Of these, how many came straight back.
    pub came_back: Option<i64>,
    /// Length of the sound.
    pub duration_s: Option<f64>,
    /// Verdict that a keeper put in its place.
    pub corrected: Option<String>,
    /// Why.
    pub correction_note: Option<String>,
    /// The repeater's hang time, as the keeper stated it.
    pub corrected_hang_s: Option<f64>,
    /// The listening mode, as the keeper stated it.
    pub corrected_mode: Option<String>,
}

impl From<rows::Recording> for RecordingOut {
    fn from(row: rows::Recording) -> Self {
        Self {
            id: row.id,
            repeater: row.repeater,
            sha256: row.sha256,
            file_name: row.file_name,
            bytes: row.bytes,
            received_at: rfc3339(row.received_at),
            seen: row.seen_at.is_some(),
            place: row.place,
            set: row.radio,
            squelch: row.squelch,
            noticed: row.noticed,
            sender: row.sender,
            state: row.state,
            fault: row.fault,
            label: row.label,
            probability: row.probability,
            hang_s: row.hang_s,
            drops: row.drops,
            trials: row.trials,
            came_back: row.came_back,
            duration_s: row.duration_s,
            corrected: row.corrected,
            correction_note: row.correction_note,
            corrected_hang_s: row.corrected_hang_s,
            corrected_mode: row.corrected_mode,
        }
    }
}

/// A page of a list of recordings.
#[derive(Serialize, ToSchema)]
pub struct RecordingsOut {
    /// How many there are in all.
    pub total: i64,
    /// Those on this page, the newest first.
    pub recordings: Vec<RecordingOut>,
}

/// What it really was.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CorrectionIn {
    /// A label of the published contract. `null` takes the correction back; a request that leaves
    /// it out says neither and is refused.
    #[schema(required)]
    #[serde(deserialize_with = "said")]
    pub label: Option<LabelIn>,
    /// Why.
    #[serde(default)]
    #[schema(max_length = 8000)]
    pub why: String,
    /// The repeater's hang time, if you know it. None of this is kept with `null` for the label.
    #[schema(minimum = 0.01, maximum = 600)]
    pub hang_s: Option<f64>,
    /// How carrier and no carrier can be told apart in it, if you know that.
    pub mode: Option<ModeIn>,
}

/// Listening modes of the published contract.
#[derive(Deserialize, ToSchema, Clone, Copy)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs, reason = "the contract says what each means")]
pub enum ModeIn {
    Squelched,
    OpenSquelch,
    BurstsOnly,
    NoGaps,
    NotFm,
}

words!(ModeIn {
    Squelched => "squelched",
    OpenSquelch => "open_squelch",
    BurstsOnly => "bursts_only",
    NoGaps => "no_gaps",
    NotFm => "not_fm",
});

/// A value or `null`, but not nothing: where no reader is named, a missing field is read as `null`.
fn said<'de, D, T>(from: D) -> Result<Option<T>, D::Error>
where
    D: Deserializer<'de>,
    T: Deserialize<'de>,
{
    Option::deserialize(from)
}

/// Labels of the published contract.
#[derive(Deserialize, ToSchema, Clone, Copy)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs, reason = "the contract says what each means")]
pub enum LabelIn {
    SelfDesense,
    WeakSignalFading,
    ListenerFading,
    ListenerDesense,
    OrdinaryTraffic,
    HandKeying,
    TimeoutTimer,
    LinkLoop,
    TransmitterFault,
    NoRepeaterAudio,
    Inconclusive,
}

words!(LabelIn {
    SelfDesense => "self_desense",
    WeakSignalFading => "weak_signal_fading",
    ListenerFading => "listener_fading",
    ListenerDesense => "listener_desense",
    OrdinaryTraffic => "ordinary_traffic",
    HandKeying => "hand_keying",
    TimeoutTimer => "timeout_timer",
    LinkLoop => "link_loop",
    TransmitterFault => "transmitter_fault",
    NoRepeaterAudio => "no_repeater_audio",
    Inconclusive => "inconclusive",
});

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cause::verdict::{Cause, Label};
    use crate::timeline::types::ListeningMode;

    #[test]
    fn a_correction_takes_each_label_of_a_verdict_and_keeps_its_word() {
        let labels = Cause::ALL.map(Label::Cause).into_iter();
        for label in labels.chain([Label::Inconclusive]) {
            let read: LabelIn = serde_json::from_value(label.as_str().into()).unwrap();
            assert_eq!(read.word(), label.as_str());
        }
    }

    #[test]
    fn a_correction_takes_each_listening_mode_and_keeps_its_word() {
        for mode in ListeningMode::ALL {
            let read: ModeIn = serde_json::from_value(mode.as_str().into()).unwrap();
            assert_eq!(read.word(), mode.as_str());
            let of_corpus = serde_json::to_value(mode).unwrap();
            assert_eq!(of_corpus, mode.as_str());
        }
    }

    #[test]
    fn a_correction_is_taken_back_by_null_and_by_nothing_else() {
        let read = |text: &str| serde_json::from_str::<CorrectionIn>(text);
        assert!(read(r#"{"label": null}"#).unwrap().label.is_none());
        for nothing in ["{}", r#"{"why": "a slip"}"#] {
            let fault = read(nothing).err().unwrap().to_string();
            assert!(fault.contains("missing field `label`"), "{fault}");
        }
    }
}
