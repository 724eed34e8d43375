//! Cases.

use super::{NoteOut, words};
use crate::desk::moment::rfc3339;
use crate::desk::store::rows;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa::ToSchema;

/// A new case.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CaseIn {
    /// Its title.
    #[schema(min_length = 1, max_length = 120, pattern = "\\S")]
    pub title: String,
}

/// What a case is called, and what was repaired.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CaseChangeIn {
    /// Its title.
    #[schema(min_length = 1, max_length = 120, pattern = "\\S")]
    pub title: String,
    /// What was done between before and after.
    #[serde(default)]
    #[schema(max_length = 100)]
    pub work: String,
}

/// A case in a list.
#[derive(Serialize, ToSchema)]
pub struct CaseOut {
    /// Key.
    pub id: String,
    /// Key of the repeater.
    pub repeater: String,
    /// Title.
    pub title: String,
    /// How far it is.
    pub state: String,
    /// What was repaired.
    pub work: String,
    /// The antenna chain as the `hunt` command reads it.
    pub site_toml: Option<String>,
    /// Since when.
    pub made_at: String,
    /// When its state last changed.
    pub changed_at: String,
}

impl From<rows::Case> for CaseOut {
    fn from(row: rows::Case) -> Self {
        Self {
            id: row.id,
            repeater: row.repeater,
            title: row.title,
            state: row.state,
            work: row.work,
            site_toml: row.site_toml,
            made_at: rfc3339(row.made_at),
            changed_at: rfc3339(row.changed_at),
        }
    }
}

/// A case with what it gathers.
#[derive(Serialize, ToSchema)]
pub struct WholeCaseOut {
    /// The case.
    pub case: CaseOut,
    /// Its recordings.
    pub recordings: Vec<CaseRecordingOut>,
    /// What was measured.
    pub tests: Vec<TestOut>,
    /// What happened so far, oldest first.
    pub history: Vec<NoteOut>,
    /// Before against after, once there is something on both sides (`tailbeat.compare/1`).
    #[schema(value_type = Option<Object>)]
    pub comparison: Option<Value>,
}

/// A recording in a case.
#[derive(Serialize, ToSchema)]
pub struct CaseRecordingOut {
    /// Key of the recording.
    pub recording: String,
    /// `before` or `after` the repair, or `beside`.
    pub phase: String,
}

/// A stepped test or tee readings.
#[derive(Serialize, ToSchema)]
pub struct TestOut {
    /// Key.
    pub id: String,
    /// `backoff` or `tee`.
    pub kind: String,
    /// `before` or `after` the repair, or `beside`.
    pub phase: String,
    /// The day, as typed.
    pub day: String,
    /// The table or worksheet.
    pub sheet: String,
    /// What came out (`tailbeat.backoff/1` or `tailbeat.tee/1`).
    #[schema(value_type = Object)]
    pub result: Value,
}

/// How far a case is.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StateIn {
    /// The state.
    pub state: StateWord,
    /// Words beside it.
    #[serde(default)]
    #[schema(max_length = 4000)]
    pub said: String,
}

/// States of a case.
#[derive(Deserialize, ToSchema, Clone, Copy)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs, reason = "the words say it")]
pub enum StateWord {
    Opened,
    Confirmed,
    BeingHunted,
    Repaired,
    Proven,
}

/// On which side of the repair.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PhaseIn {
    /// The side.
    pub phase: PhaseWord,
}

/// Sides of a repair.
#[derive(Deserialize, ToSchema, Clone, Copy)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs, reason = "the words say it")]
pub enum PhaseWord {
    Before,
    After,
    Beside,
}

/// A test to be kept.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TestIn {
    /// What it is.
    pub kind: TestKind,
    /// The side.
    pub phase: PhaseWord,
    /// The day, such as 2031-05-04.
    #[serde(default)]
    #[schema(max_length = 20)]
    pub day: String,
    /// A stepped test: the table of trials that the `backoff` command reads; tee readings: the
    /// worksheet (TOML) that the `tee` command reads.
    #[schema(max_length = 100_000)]
    pub sheet: String,
    /// For a stepped test: the squelch's hysteresis.
    #[schema(minimum = 0.0, maximum = 20.0)]
    pub hysteresis_db: Option<f64>,
}

/// What can be measured.
#[derive(Deserialize, ToSchema, Clone, Copy, PartialEq, Eq)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs, reason = "the words say it")]
pub enum TestKind {
    Backoff,
    Tee,
}

/// The antenna chain.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SiteIn {
    /// As the `hunt` command reads it.
    #[schema(max_length = 100_000)]
    pub site_toml: String,
}

words!(StateWord {
    Opened => "opened",
    Confirmed => "confirmed",
    BeingHunted => "being_hunted",
    Repaired => "repaired",
    Proven => "proven",
});

words!(PhaseWord {
    Before => "before",
    After => "after",
    Beside => "beside",
});
