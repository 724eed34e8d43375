//! The member's pages: no account, one link to send in, one to come back to.

use super::{Heard, Pictures, Shell, When};

/// `/to/{key}`. The form posts to the same address as multipart: `recording` (the file), `place`,
/// `set`, `squelch` (see [`Squelch`]), `noticed`, `sender`; all but the file may be empty. With the
/// script the same fields go, form-encoded, to `/to/{key}/uploads/{upload}/finish`, and
/// `POST /to/{key}/uploads` gets `name` and `bytes`.
#[derive(Debug, Clone, PartialEq)]
pub struct SendIn {
    /// Around it.
    pub shell: Shell,
    /// The unguessable part of the address.
    pub key: String,
    /// The repeater's name.
    pub repeater: String,
    /// Its output, as people say it, such as `145.600 MHz`.
    pub output: Option<String>,
    /// What its keeper wants to tell members.
    pub word: Option<String>,
    /// What is taken.
    pub limits: Limits,
    /// Why the last try was not taken: what, and what to do.
    pub refused: Option<String>,
    /// What was typed at the last try.
    pub typed: Remarks,
}

/// What is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Largest file.
    pub bytes: u64,
    /// Longest recording.
    pub minutes: u32,
    /// Bytes that the script sends in one request at most.
    pub chunk_bytes: u64,
}

/// What a member said beside the recording.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Remarks {
    /// Where they listened.
    pub place: String,
    /// On what they listened.
    pub set: String,
    /// Whether the set's squelch was open.
    pub squelch: Squelch,
    /// What they noticed.
    pub noticed: String,
    /// Who they are, if they want an answer.
    pub sender: String,
}

/// How the member's set was squelched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Squelch {
    /// Not said.
    #[default]
    Unknown,
    /// Wide open.
    Open,
    /// Closed between transmissions.
    Closed,
}

impl Squelch {
    /// All, as they are offered.
    pub const ALL: [Self; 3] = [Self::Unknown, Self::Open, Self::Closed];

    /// The fixed word in forms.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Unknown => "unknown",
            Self::Open => "open",
            Self::Closed => "closed",
        }
    }
}

/// `/receipt/{secret}`. Its script asks `/receipt/{secret}/state` for
/// `state` (`waiting`, `working`, `done` or `failed`), `ahead`, `share` and `estimated`, and loads the
/// page anew after the last two states.
#[derive(Debug, Clone, PartialEq)]
pub struct Receipt {
    /// Around it.
    pub shell: Shell,
    /// The unguessable part of the address.
    pub secret: String,
    /// The whole address, to be kept.
    pub link: String,
    /// The repeater's name.
    pub repeater: String,
    /// Address to send in another one, while it is valid.
    pub send_another: Option<String>,
    /// When it was received.
    pub received: When,
    /// Name of the file, as sent.
    pub file: String,
    /// Its size.
    pub bytes: u64,
    /// Its fingerprint.
    pub sha256: String,
    /// What the member said.
    pub said: Remarks,
    /// How far the analysis is.
    pub analysis: Analysis,
}

/// How far an analysis is.
#[derive(Debug, Clone, PartialEq)]
pub enum Analysis {
    /// Not begun.
    Waiting {
        /// Analyses before it.
        ahead: usize,
    },
    /// At work.
    Working {
        /// Share done, where known.
        share: Option<f64>,
        /// That is an estimate: the file does not state its length.
        estimated: bool,
    },
    /// Not possible.
    Failed {
        /// Why, and what to do.
        what: String,
    },
    /// Done.
    Done {
        /// In words.
        heard: Box<Heard>,
        /// In pictures.
        pictures: Box<Pictures>,
    },
}
