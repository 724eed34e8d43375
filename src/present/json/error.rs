//! `tailbeat.error/1`: a file that could not be analysed, among several.

use crate::error::Error;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The name of this format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Format {
    /// Version 1.
    #[serde(rename = "tailbeat.error/1")]
    V1,
}

/// A file that could not be analysed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "tailbeat.error/1")]
pub struct ErrorJson {
    /// Name and version of the format.
    pub schema: Format,
    /// The file.
    pub recording: Named,
    /// What went wrong.
    pub error: Failure,
}

/// A file by name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Named {
    /// Name as the user gave it, without its folder (`-` for standard input).
    pub name: String,
}

/// What went wrong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Failure {
    /// A fixed word: `bad_file`, `unsupported`, `limit`, `io`, `bad_setting`.
    pub code: String,
    /// One line for people, with the remedy.
    pub message: String,
}

impl ErrorJson {
    /// Puts it together.
    #[must_use]
    pub fn new(name: &str, error: &Error) -> Self {
        Self {
            schema: Format::V1,
            recording: Named { name: name.into() },
            error: Failure {
                code: error.code().into(),
                message: error.to_string(),
            },
        }
    }
}
