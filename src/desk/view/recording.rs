//! One recording, for keepers.

use super::{Analysis, NotTaken, Remarks, Shell, When};

/// `/recording/{id}`, with `/recording/{id}/state` (as the receipt's), `/recording/{id}/audio` and `/recording/{id}/captions.vtt`. Forms:
/// `/recording/{id}/note`: `text`; `/recording/{id}/correct`: `label` (empty takes a correction
/// back), `why`, `hang_s`, `mode` (all three may be empty); `/recording/{id}/case`: `case` (an id, or `new`), `title`, `phase`;
/// `/recording/{id}/again` analyses anew; `/recording/{id}/delete`: `sure` (the word `delete`).
#[derive(Debug, Clone, PartialEq)]
pub struct RecordingPage {
    /// Around it.
    pub shell: Shell,
    /// In addresses.
    pub id: String,
    /// Its repeater.
    pub repeater_id: String,
    /// Its repeater's name.
    pub repeater: String,
    /// Name of the file, as sent.
    pub file: String,
    /// Media type of the sound.
    pub media_type: String,
    /// Whether browsers can be expected to play it.
    pub size_bytes: u64,
    /// Its fingerprint.
    pub sha256: String,
    /// When it was received.
    pub received: When,
    /// What the member said.
    pub said: Remarks,
    /// How far the analysis is.
    pub analysis: Analysis,
    /// `still=yes`: the page is not to be loaded anew by itself, while somebody writes on it.
    pub still: bool,
    /// What a keeper said it really was.
    pub correction: Option<Corrected>,
    /// Keepers' notes, oldest first.
    pub notes: Vec<Note>,
    /// Cases of the repeater that it could go into.
    pub cases: Vec<CaseChoice>,
    /// The receipt link of the member, to be sent to them once more.
    pub receipt: Option<String>,
    /// A form that was not taken.
    pub wrong: Option<NotTaken>,
}

/// A keeper's own verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct Corrected {
    /// The fixed word.
    pub label: String,
    /// Why.
    pub why: String,
    /// The repeater's hang time, where they know it.
    pub hang_s: Option<f64>,
    /// The listening mode's fixed word, where they know it.
    pub mode: Option<String>,
    /// Who.
    pub by: String,
    /// When.
    pub when: When,
}

/// A keeper's note.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Note {
    /// What.
    pub text: String,
    /// Who.
    pub by: String,
    /// When.
    pub when: When,
}

/// A case that the recording is in, or could be put into.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CaseChoice {
    /// In addresses.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Whether the recording is in it.
    pub holds_this: bool,
}
