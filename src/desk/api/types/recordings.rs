//! Recordings.

use crate::desk::moment::rfc3339;
use crate::desk::store::rows;
use serde::Serialize;
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
    /// In what words.
    pub correction_note: Option<String>,
    /// The repeater's hang time, as the keeper stated it.
    pub corrected_hang_s: Option<f64>,
    /// The listening mode, as the keeper stated it.
    pub corrected_mode: Option<String>,
    /// Which keeper.
    pub corrected_by: Option<String>,
    /// When.
    pub corrected_at: Option<String>,
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
            corrected_by: row.corrected_by,
            corrected_at: row.corrected_at.map(rfc3339),
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
