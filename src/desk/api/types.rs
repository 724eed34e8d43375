//! What the API takes and gives, and nothing else.

use crate::desk::moment::rfc3339;
use crate::desk::store::rows;
use crate::desk::view::{Trend, TrendMonth};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa::ToSchema;

/// Why a request was not fulfilled.
#[derive(Serialize, ToSchema)]
pub struct Refused {
    /// In words.
    pub error: String,
    /// A fixed word.
    pub code: String,
}

/// A repeater as stated by its keeper.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RepeaterIn {
    /// Name.
    #[schema(min_length = 1, max_length = 120, pattern = "\\S")]
    pub name: String,
    /// Output frequency in MHz, as text.
    #[serde(default)]
    #[schema(max_length = 20)]
    pub output_mhz: String,
    /// Where it stands.
    #[serde(default)]
    #[schema(max_length = 120)]
    pub place: String,
    /// The controller's hang time.
    #[schema(minimum = 0.01, maximum = 600.0)]
    pub hang_s: Option<f64>,
    /// The squelch's hysteresis.
    #[schema(minimum = 0.0, maximum = 20.0)]
    pub hysteresis_db: Option<f64>,
    /// What members read on the send-in page.
    #[serde(default)]
    #[schema(max_length = 1000)]
    pub word: String,
}

/// A repeater.
#[derive(Serialize, ToSchema)]
pub struct RepeaterOut {
    /// Key.
    pub id: String,
    /// Name.
    pub name: String,
    /// Output frequency in MHz, as text.
    pub output_mhz: String,
    /// Where it stands.
    pub place: String,
    /// The controller's hang time.
    pub hang_s: Option<f64>,
    /// The squelch's hysteresis.
    pub hysteresis_db: Option<f64>,
    /// What members read on the send-in page.
    pub word: String,
    /// Address of the send-in page.
    pub send_in: String,
    /// Since when.
    pub made_at: String,
}

impl RepeaterOut {
    /// Of a row.
    pub fn of(row: rows::Repeater, public: &str) -> Self {
        Self {
            send_in: format!("{public}/to/{}", row.link),
            id: row.id,
            name: row.name,
            output_mhz: row.output_mhz,
            place: row.place,
            hang_s: row.hang_s,
            hysteresis_db: row.hysteresis_db,
            word: row.word,
            made_at: rfc3339(row.made_at),
        }
    }
}

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

/// A recording that was received.
#[derive(Serialize, ToSchema)]
pub struct ReceivedOut {
    /// Key.
    pub id: String,
    /// Address of the receipt.
    pub receipt: String,
}

/// One month.
#[derive(Serialize, ToSchema)]
pub struct MonthOut {
    /// Such as 2031-05.
    pub month: String,
    /// Hours of recordings.
    pub hours: f64,
    /// Recordings.
    pub recordings: usize,
    /// Drops that came back, an hour of recording.
    pub cycles_per_hour: Option<f64>,
    /// Drops whose outcome was seen.
    pub trials: usize,
    /// Of these, those that came back.
    pub came_back: usize,
    /// Desense by stepped tests or tee readings, the middle one.
    pub desense_db: Option<f64>,
}

impl From<TrendMonth> for MonthOut {
    fn from(month: TrendMonth) -> Self {
        Self {
            month: month.month,
            hours: month.hours,
            recordings: month.recordings,
            cycles_per_hour: month.cycles_per_hour,
            trials: month.trials,
            came_back: month.came_back,
            desense_db: month.desense_db,
        }
    }
}

/// Months in order of time.
pub fn months(trend: Trend) -> Vec<MonthOut> {
    trend.months.into_iter().map(Into::into).collect()
}

/// What it really was.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CorrectionIn {
    /// A label of the published contract; `null` takes the correction back.
    #[schema(required)]
    pub label: Option<LabelIn>,
    /// Why.
    #[serde(default)]
    #[schema(max_length = 8000)]
    pub why: String,
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

/// A note.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NoteIn {
    /// The words.
    #[schema(min_length = 1, max_length = 8000, pattern = "\\S")]
    pub text: String,
}

/// A note.
#[derive(Serialize, ToSchema)]
pub struct NoteOut {
    /// The words.
    pub text: String,
    /// By whom.
    pub by: String,
    /// When.
    pub at: String,
    /// The state that the case changed to, for a case.
    pub new_state: Option<String>,
}

impl From<rows::Note> for NoteOut {
    fn from(note: rows::Note) -> Self {
        Self {
            text: note.words,
            by: note.made_by,
            at: rfc3339(note.made_at),
            new_state: note.new_state,
        }
    }
}

/// A new case.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CaseIn {
    /// Its title.
    #[schema(min_length = 1, max_length = 120, pattern = "\\S")]
    pub title: String,
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

/// A key.
#[derive(Serialize, ToSchema)]
pub struct KeyOut {
    /// The key.
    pub id: String,
}

/// The antenna chain.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SiteIn {
    /// As the `hunt` command reads it.
    #[schema(max_length = 100_000)]
    pub site_toml: String,
}

/// One line of the audit log.
#[derive(Serialize, ToSchema)]
pub struct AuditOut {
    /// When.
    pub at: String,
    /// Who.
    pub who: String,
    /// What was done.
    pub kind: String,
    /// About what.
    pub about: String,
}

/// An enum's word as it travels.
macro_rules! words {
    ($type:ident { $($case:ident => $word:literal,)* }) => {
        impl $type {
            /// The fixed word.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$case => $word,)* }
            }
        }
    };
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
