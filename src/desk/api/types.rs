//! What the API takes and gives, and nothing else.

mod account;
mod cases;
mod corrections;
mod people;
mod recordings;
mod repeaters;

pub use account::*;
pub use cases::*;
pub use corrections::*;
pub use people::*;
pub use recordings::*;
pub use repeaters::*;

use crate::desk::moment::rfc3339;
use crate::desk::store::rows;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

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

use words;

/// Why a request was not fulfilled.
#[derive(Serialize, ToSchema)]
pub struct Refused {
    /// In words.
    pub error: String,
    /// A fixed word.
    pub code: String,
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

/// A key.
#[derive(Serialize, ToSchema)]
pub struct KeyOut {
    /// The key.
    pub id: String,
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
