//! One case, from the first complaint to the proof.

use super::{ChainForm, LoadTest, NotTaken, RecordingPage, RecordingRow, Shell, When};
use crate::present::site::leaf::Leaf;

/// How far a case is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CaseState {
    /// Somebody complained.
    Opened,
    /// It is self-desense.
    Confirmed,
    /// The bad part is being looked for.
    Hunted,
    /// Something was mended.
    Repaired,
    /// The same test shows it gone.
    Proven,
}

impl CaseState {
    /// In order.
    pub const ALL: [Self; 5] = [
        Self::Opened,
        Self::Confirmed,
        Self::Hunted,
        Self::Repaired,
        Self::Proven,
    ];

    /// The fixed word in forms, in the API and in the database.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Opened => "opened",
            Self::Confirmed => "confirmed",
            Self::Hunted => "being_hunted",
            Self::Repaired => "repaired",
            Self::Proven => "proven",
        }
    }
}

/// On which side of the repair something was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Phase {
    /// Before it.
    Before,
    /// After it.
    After,
    /// On neither: kept with the case, not compared.
    Beside,
}

impl Phase {
    /// As they are offered.
    pub const ALL: [Self; 3] = [Self::Before, Self::After, Self::Beside];

    /// The fixed word in forms, in the API and in the database.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Before => "before",
            Self::After => "after",
            Self::Beside => "beside",
        }
    }
}

/// A case in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CaseCard {
    /// In addresses.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Its repeater.
    pub repeater: String,
    /// How far it is.
    pub state: CaseState,
    /// When that last changed.
    pub changed: When,
    /// Recordings in it.
    pub recordings: usize,
}

/// `/case/{id}`. Forms: `/case/{id}/state`: `state`, `said`; `/case/{id}/title`: `title`;
/// `/case/{id}/work`: `work` (what was repaired, for the dossier);
/// `/case/{id}/recording/{recording}`: `phase`, or `remove=yes`;
/// `/case/{id}/backoff`: `day`, `phase`, `hysteresis_db`, and rows of `backoff_db`, `trials`,
/// `came_back` (the fields repeat, rows with an empty `backoff_db` do not count);
/// `/case/{id}/tee`: `day`, `phase`, `criterion` (`sinad_12_db`, `quieting_20_db`), `unit` (`dbm`,
/// `uv`), `tee_loss_db`, and `load_off`, `antenna_off`, `load_on`, `antenna_on` (readings with
/// blanks between);
/// `/case/{id}/test/{test}/delete` for a stepped test or tee readings;
/// `/case/{id}/chain`: see [`ChainForm`]; `/case/{id}/load`: `after` (a section's name), `desense`
/// (`stays`, `gone`), `looks`, `day`; `/case/{id}/load/{n}`: the same to change it, or
/// `remove=yes`; `/case/{id}/delete`: `sure` (the word `delete`).
/// Files: `/case/{id}/dossier.html`, `/case/{id}/page.html`, `/case/{id}/bundle.zip`.
#[derive(Debug, Clone, PartialEq)]
pub struct CasePage {
    /// Around it.
    pub shell: Shell,
    /// The case.
    pub case: CaseCard,
    /// In addresses.
    pub repeater_id: String,
    /// What happened so far, oldest first.
    pub history: Vec<StateChange>,
    /// Its recordings.
    pub recordings: Vec<CaseRecording>,
    /// Its stepped tests, oldest first.
    pub backoffs: Vec<FiledTest>,
    /// Its tee readings, oldest first.
    pub tees: Vec<FiledTest>,
    /// Hysteresis of the repeater, to be filled in.
    pub hysteresis_db: String,
    /// The chain, or a usual one to begin with.
    pub chain: ChainForm,
    /// The plan, once there is a chain.
    pub hunt: Option<Leaf>,
    /// What was repaired.
    pub work: String,
    /// Before against after, once there is something on both sides.
    pub dossier: Option<Dossier>,
    /// A form that was not taken.
    pub wrong: Option<NotTaken>,
}

impl CasePage {
    /// A form that was not taken.
    #[must_use]
    pub fn not_taken(&self, form: &str) -> Option<&NotTaken> {
        NotTaken::of(&self.wrong, form)
    }

    /// What was typed into the `n`-th field of this name of a form that was not taken.
    #[must_use]
    pub fn typed(&self, form: &str, name: &str, n: usize) -> Option<&str> {
        self.not_taken(form)?.field(name, n)
    }
}

/// A change of state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StateChange {
    /// To which.
    pub state: CaseState,
    /// Who.
    pub by: String,
    /// When.
    pub when: When,
    /// Their words.
    pub said: String,
}

/// A recording in a case.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseRecording {
    /// The recording.
    pub row: RecordingRow,
    /// On which side of the repair.
    pub phase: Phase,
}

/// A stepped test or tee readings in a case.
#[derive(Debug, Clone, PartialEq)]
pub struct FiledTest {
    /// In addresses.
    pub id: String,
    /// The day it was made, as typed.
    pub day: String,
    /// On which side of the repair.
    pub phase: Phase,
    /// What it says.
    pub leaf: Leaf,
}

/// Before against after in a few words; the sheet itself is `/case/{id}/dossier.html`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dossier {
    /// The answer in one line.
    pub headline: String,
    /// In a few sentences.
    pub paragraphs: Vec<String>,
    /// What to do next.
    pub next_step: String,
    /// Whether it is enough for a proof.
    pub enough: bool,
}

/// `/case/{id}/page.html`: the whole case as one file.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseFile {
    /// When it was made.
    pub made: When,
    /// The case.
    pub case: CaseCard,
    /// What happened so far, oldest first.
    pub history: Vec<StateChange>,
    /// Its recordings.
    pub recordings: Vec<FiledRecording>,
    /// Its stepped tests, oldest first.
    pub backoffs: Vec<FiledTest>,
    /// Its tee readings, oldest first.
    pub tees: Vec<FiledTest>,
    /// The plan of the search.
    pub hunt: Option<Leaf>,
    /// Results of the search.
    pub chain_results: Vec<LoadTest>,
    /// What was repaired.
    pub work: String,
    /// Before against after.
    pub dossier: Option<Dossier>,
}

/// A recording in the file of a case.
#[derive(Debug, Clone, PartialEq)]
pub struct FiledRecording {
    /// The recording, as its own page shows it.
    pub recording: RecordingPage,
    /// On which side of the repair.
    pub phase: Phase,
}
