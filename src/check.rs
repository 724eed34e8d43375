//! The staircase: the only place that calls the floors in order.

use crate::acoustics::frames::Strip;
use crate::cause::verdict::Verdict;
use crate::intake::recording::RecordingInfo;
use crate::timeline::types::{ListeningMode, Timeline};
use crate::units::Seconds;

/// Everything that one recording told.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// The file.
    pub recording: RecordingInfo,
    /// What was on the air when.
    pub timeline: Timeline,
    /// What it means.
    pub verdict: Verdict,
    /// Level and spectrum for pictures.
    pub strip: Strip,
    /// What the user stated beforehand.
    pub stated: CheckOptions,
}

/// Facts that the user knows and that help the verdict.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CheckOptions {
    /// The controller's hang time.
    pub hang: Option<Seconds>,
    /// How the recording was made.
    pub mode: Option<ListeningMode>,
}

/// Checks one file from disk.
///
/// `progress` is called with the share done (0 to 1) from time to time.
///
/// # Errors
/// The file cannot be read as audio; see [`crate::Error`].
pub fn check_file(
    path: &std::path::Path,
    options: &CheckOptions,
    progress: &mut dyn FnMut(f64),
) -> crate::Result<Check> {
    let _ = (options, progress);
    Err(crate::Error::Unsupported {
        file: path.display().to_string(),
        what: "audio".into(),
        remedy: "this build has no analysis yet".into(),
    })
}
