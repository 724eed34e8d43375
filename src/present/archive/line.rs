//! `tailbeat.batch/1`: one recording of an archive, or a run of rotated files heard as one.

use crate::archive::coverage::{Coverage, Unusable};
use crate::archive::summary::{Recorded, Stretch};
use crate::archive::when::When;
use crate::cause::verdict::Label;
use crate::present::compare::saved::label;
use crate::present::json::CheckJson;
use crate::present::json::error::Failure;
use crate::units::{Instant, Seconds};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The name of this format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Format {
    /// Version 1.
    #[serde(rename = "tailbeat.batch/1")]
    V1,
}

/// One recording of an archive: exactly one of `check` and `error` is not null.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "tailbeat.batch/1")]
pub struct BatchJson {
    /// Name and version of the format.
    pub schema: Format,
    /// Where it was recorded: the name of its folder, or as stated.
    pub site: String,
    /// Path or address, as it was found; of several files heard as one, that of the first.
    pub address: String,
    /// The files that it consists of.
    pub files: Vec<FileJson>,
    /// Digest of the program's version and settings: the same content with the same settings
    /// need not be heard again.
    pub settings: String,
    /// How much of it could be heard.
    pub coverage: CoverageJson,
    /// What it told; as `tailbeat check --json` prints it.
    pub check: Option<CheckJson>,
    /// Why it told nothing.
    pub error: Option<Failure>,
}

/// One file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct FileJson {
    /// Path or address.
    pub address: String,
    /// Length; null where it could not be read.
    pub bytes: Option<u64>,
    /// SHA-256; null where it could not be read.
    pub sha256: Option<String>,
}

/// How much could be heard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CoverageJson {
    /// Length on the recording's clock; null where it could not be read.
    pub recorded_s: Option<f64>,
    /// Time in which a drop and its return would have been seen.
    pub heard_s: f64,
    /// Time recorded in vain.
    pub unusable_s: f64,
    /// Why: `not_fm`, `gaps_cut`, `damaged`, `unreadable`; null where nothing is lost.
    pub why: Option<String>,
}

impl From<Coverage> for CoverageJson {
    fn from(coverage: Coverage) -> Self {
        let micro = |s: Seconds| (s.get() * 1e6).round() / 1e6;
        Self {
            recorded_s: Some(micro(coverage.recorded)),
            heard_s: micro(coverage.heard),
            unusable_s: micro(coverage.unusable),
            why: coverage.why.map(|why| why.as_str().to_owned()),
        }
    }
}

impl CoverageJson {
    /// Of a file that could not be read.
    #[must_use]
    pub fn unreadable() -> Self {
        Self {
            recorded_s: None,
            heard_s: 0.0,
            unusable_s: 0.0,
            why: Some(Unusable::Unreadable.as_str().to_owned()),
        }
    }
}

impl BatchJson {
    /// As one line, without a line feed.
    #[must_use]
    pub fn line(&self) -> String {
        crate::present::json::to_line(self)
    }
}

/// What the summary needs of a line.
#[must_use]
pub fn recorded(line: &BatchJson) -> Recorded {
    let why = line.coverage.why.as_deref().and_then(unusable);
    let stretches = line.check.iter().flat_map(|check| &check.episodes);
    Recorded {
        site: line.site.clone(),
        start: start(line),
        length: Seconds(line.coverage.recorded_s.unwrap_or(0.0)),
        unusable: Seconds(line.coverage.unusable_s),
        why,
        stretches: stretches
            .map(|e| Stretch {
                start: Instant(e.start_s),
                end: Instant(e.end_s),
                cause: match label(e.label) {
                    Label::Cause(cause) => Some(cause),
                    Label::Inconclusive => None,
                },
                drops: e.drops,
                self_desense: e.posterior.get("self_desense").copied().unwrap_or(0.0),
            })
            .collect(),
    }
}

/// When a line's recording began.
pub(super) fn start(line: &BatchJson) -> Option<When> {
    When::parse(line.check.as_ref()?.recording.started_at.as_deref()?)
}

fn unusable(word: &str) -> Option<Unusable> {
    [
        Unusable::NotFm,
        Unusable::GapsCut,
        Unusable::Damaged,
        Unusable::Unreadable,
    ]
    .into_iter()
    .find(|why| why.as_str() == word)
}
