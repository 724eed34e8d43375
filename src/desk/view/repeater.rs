//! Repeaters: the first page, one repeater, its link, its trend.

use super::{Beat, CaseCard, NotTaken, Pager, Shell, When};

/// `/`.
#[derive(Debug, Clone, PartialEq)]
pub struct HomePage {
    /// Around it.
    pub shell: Shell,
    /// All repeaters.
    pub repeaters: Vec<RepeaterCard>,
    /// The latest recordings of all of them.
    pub latest: Vec<RecordingRow>,
    /// Cases that are not proven yet.
    pub open_cases: Vec<CaseCard>,
    /// Analyses waiting or at work.
    pub queue: usize,
    /// Deleted originals that the store did not let go so far.
    pub unremoved: usize,
}

/// A repeater in a list.
#[derive(Debug, Clone, PartialEq)]
pub struct RepeaterCard {
    /// In addresses.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its output.
    pub output: Option<String>,
    /// Where it stands.
    pub place: Option<String>,
    /// Recordings in all.
    pub recordings: usize,
    /// Recordings that no keeper has opened yet.
    pub unseen: usize,
    /// Recordings judged self-desense, corrections counted.
    pub desense: usize,
    /// Cases that are not proven yet.
    pub open_cases: usize,
    /// When the last one came in.
    pub latest: Option<When>,
}

/// `/repeater/new` and `/repeater/{id}/edit`, post to themselves: `name`, `output_mhz`, `place`,
/// `hang_s`, `hysteresis_db`, `word`. Numbers are kept as typed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RepeaterForm {
    /// Around it.
    pub shell: Shell,
    /// `None` for a new one.
    pub id: Option<String>,
    /// Its name.
    pub name: String,
    /// Output frequency.
    pub output_mhz: String,
    /// Where it stands.
    pub place: String,
    /// Hang time, if the keeper knows it; the analysis then uses it.
    pub hang_s: String,
    /// Squelch hysteresis, if known.
    pub hysteresis_db: String,
    /// What members read on the send-in page.
    pub word: String,
    /// What was wrong.
    pub wrong: Option<String>,
}

/// `/repeater/{id}`; the filters are its query. Its form posts to `/repeater/{id}/case`: `title`,
/// which answers with the new case; and to `/repeater/{id}/delete`: `sure` (the name typed again).
#[derive(Debug, Clone, PartialEq)]
pub struct RepeaterPage {
    /// Around it.
    pub shell: Shell,
    /// The repeater.
    pub repeater: RepeaterCard,
    /// What is asked for.
    pub filter: Filter,
    /// Recordings, latest first.
    pub rows: Vec<RecordingRow>,
    /// Where the list stands.
    pub pager: Pager,
    /// Its cases, latest first.
    pub cases: Vec<CaseCard>,
    /// Month by month.
    pub trend: Trend,
    /// Corrected verdicts that `/repeater/{id}/corrections.zip` would hold.
    pub corrections: usize,
    /// Deleted originals that the store did not let go so far, of all repeaters.
    pub unremoved: usize,
    /// A form that was not taken.
    pub wrong: Option<NotTaken>,
}

/// The filters of a list, as the query's fields.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Filter {
    /// `verdict`: the fixed word of a verdict (corrections counted); empty for all.
    pub verdict: String,
    /// `from`: first day, `YYYY-MM-DD`; empty for any.
    pub from: String,
    /// `to`: last day; empty for any.
    pub to: String,
    /// `q`: words within file name, place, set, remarks.
    pub words: String,
    /// `unseen=yes`: only those that no keeper has opened.
    pub unseen: bool,
}

/// A recording in a list.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordingRow {
    /// In addresses.
    pub id: String,
    /// When it was received.
    pub received: When,
    /// Name of the file.
    pub file: String,
    /// Of which repeater, in lists over several.
    pub repeater: Option<String>,
    /// Where it was heard.
    pub place: String,
    /// Who sent it.
    pub sender: String,
    /// Whether a keeper has opened it.
    pub seen: bool,
    /// What came of it.
    pub outcome: RowOutcome,
    /// Title of its case.
    pub case: Option<String>,
}

/// What came of a recording.
#[derive(Debug, Clone, PartialEq)]
pub enum RowOutcome {
    /// Waiting or at work.
    Pending,
    /// Could not be analysed.
    Failed(String),
    /// Judged.
    Judged {
        /// The fixed word of the program's verdict.
        label: String,
        /// Its probability.
        probability: f64,
        /// Hang time.
        hang_s: Option<f64>,
        /// Drops that came back, of drops seen.
        came_back: usize,
        /// See `came_back`.
        trials: usize,
        /// For the tiny picture.
        beats: Vec<Beat>,
        /// The fixed word that a keeper put in its place.
        corrected: Option<String>,
    },
}

/// Month by month; months without recordings are left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trend {
    /// In order of time.
    pub months: Vec<TrendMonth>,
}

/// One month. What cannot be known is `None`.
#[derive(Debug, Clone, PartialEq)]
pub struct TrendMonth {
    /// `YYYY-MM`.
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
    /// Desense by stepped tests or tee of that month, the middle one, dB.
    pub desense_db: Option<f64>,
}

/// `/repeater/{id}/link`; its form posts to `/repeater/{id}/link/renew`.
#[derive(Debug, Clone, PartialEq)]
pub struct LinkPage {
    /// Around it.
    pub shell: Shell,
    /// In addresses.
    pub id: String,
    /// The repeater.
    pub repeater: String,
    /// Its output.
    pub output: Option<String>,
    /// The whole address of the send-in page.
    pub url: String,
    /// The same to be photographed.
    pub qr: Qr,
    /// Since when this link has been valid.
    pub made: When,
}

/// A QR code's squares, row by row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Qr {
    /// Squares along a side.
    pub side: usize,
    /// `side * side` of them; `true` is dark.
    pub dark: Vec<bool>,
}
