//! `case.json` within a bundle.

use serde::{Deserialize, Serialize};

/// Its name.
pub const NAME: &str = "case.json";
/// Its kind and number.
pub const SCHEMA: &str = "tailbeat.desk-case/1";

/// A case.
#[derive(Debug, Serialize, Deserialize)]
pub struct Manifest {
    /// [`SCHEMA`].
    pub schema: String,
    /// Its repeater.
    pub repeater: RepeaterPart,
    /// Title.
    pub title: String,
    /// How far it is.
    pub state: String,
    /// What was repaired.
    pub work: String,
    /// The antenna chain as `hunt` reads it.
    pub site_toml: Option<String>,
    /// What happened, oldest first.
    pub history: Vec<HistoryPart>,
    /// Recordings.
    pub recordings: Vec<RecordingPart>,
    /// Stepped tests and tee readings.
    pub tests: Vec<TestPart>,
}

/// The repeater of a case. Its send-in link is nobody else's business.
#[derive(Debug, Serialize, Deserialize)]
pub struct RepeaterPart {
    /// Name.
    pub name: String,
    /// Output frequency in MHz, as text.
    pub output_mhz: String,
    /// Where it stands.
    pub place: String,
    /// Hang time, where it was stated.
    pub hang_s: Option<f64>,
    /// Squelch hysteresis, where it was stated.
    pub hysteresis_db: Option<f64>,
}

/// A change of state.
#[derive(Debug, Serialize, Deserialize)]
pub struct HistoryPart {
    /// When (RFC 3339).
    pub at: String,
    /// By whom.
    pub by: String,
    /// To which state.
    pub state: String,
    /// In what words.
    pub said: String,
}

/// A recording.
#[derive(Debug, Serialize, Deserialize)]
pub struct RecordingPart {
    /// Its original within the bundle.
    pub original: String,
    /// Its result within the bundle (`tailbeat.check/1`), where it could be analysed.
    pub result: Option<String>,
    /// SHA-256 of the original.
    pub sha256: String,
    /// Name of the file, as sent.
    pub file_name: String,
    /// When it was received (RFC 3339).
    pub received_at: String,
    /// Side of the repair.
    pub phase: String,
    /// Where the member listened.
    pub place: String,
    /// On what set.
    pub set: String,
    /// Its squelch.
    pub squelch: String,
    /// What they noticed.
    pub noticed: String,
    /// Who they are.
    pub sender: String,
    /// Verdict that a keeper put in the program's place.
    pub corrected: Option<String>,
    /// Why.
    pub correction_note: Option<String>,
    /// Hang time that they stated; older bundles lack it and the next.
    #[serde(default)]
    pub corrected_hang_s: Option<f64>,
    /// Listening mode that they stated.
    #[serde(default)]
    pub corrected_mode: Option<String>,
    /// Keepers' notes.
    pub notes: Vec<NotePart>,
}

/// A note.
#[derive(Debug, Serialize, Deserialize)]
pub struct NotePart {
    /// By whom.
    pub by: String,
    /// The words.
    pub text: String,
}

/// A stepped test or tee readings.
#[derive(Debug, Serialize, Deserialize)]
pub struct TestPart {
    /// `backoff` or `tee`.
    pub kind: String,
    /// Side of the repair.
    pub phase: String,
    /// The day, as typed.
    pub day: String,
    /// The table or worksheet.
    pub sheet: String,
    /// The squelch's hysteresis, where it was stated.
    pub hysteresis_db: Option<f64>,
    /// Its result within the bundle.
    pub result: String,
}
