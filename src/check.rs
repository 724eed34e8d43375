//! The staircase: the only place that calls the floors in order.

use crate::acoustics::Analyser;
use crate::acoustics::frames::{FrameBlock, Strip};
use crate::cause::verdict::Verdict;
use crate::intake::recording::{Recording, RecordingInfo};
use crate::timeline::Reader;
use crate::timeline::types::{ListeningMode, Timeline};
use crate::units::Seconds;
use crate::{cause, intake};
use std::convert::Infallible;

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

/// How far a check is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// Share done, 0 to 1.
    pub done: f64,
    /// The length is not known beforehand: this is the share of the bytes that were read.
    pub estimated: bool,
}

impl Share {
    /// The end, which is certain.
    pub const ALL: Self = Self {
        done: 1.0,
        estimated: false,
    };

    fn of(recording: &dyn Recording, at: Seconds) -> Option<Self> {
        let by_length = recording
            .expected_duration()
            .filter(|all| all.get() > 0.0)
            .map(|all| at.get() / all.get());
        let (share, estimated) = match by_length {
            Some(share) => (share, false),
            None => (recording.share_read()?, true),
        };
        Some(Self {
            done: share.clamp(0.0, 1.0),
            estimated,
        })
    }
}

/// Checks one file from disk.
///
/// `progress` is called with the share done from time to time, where that is known.
///
/// # Errors
/// The file cannot be read as audio; see [`crate::Error`].
pub fn check_file(
    path: &std::path::Path,
    options: &CheckOptions,
    progress: &mut dyn FnMut(Share),
) -> crate::Result<Check> {
    check_recording(intake::open(path)?, options, progress)
}

/// Checks a recording from any source.
///
/// # Errors
/// As [`check_file`].
pub fn check_recording(
    recording: Box<dyn Recording>,
    options: &CheckOptions,
    progress: &mut dyn FnMut(Share),
) -> crate::Result<Check> {
    check_by(Reader::new(options.mode), recording, options, progress)
}

/// Checks a recording with a reader of the caller's, who fits or compares networks.
///
/// # Errors
/// As [`check_file`].
pub fn check_by(
    mut reader: Reader,
    mut recording: Box<dyn Recording>,
    options: &CheckOptions,
    progress: &mut dyn FnMut(Share),
) -> crate::Result<Check> {
    let mut analyser = Analyser::new(recording.rate());
    let mut take = |block: &FrameBlock| -> Result<(), Infallible> {
        reader.push(block);
        Ok(())
    };
    while let Some(block) = recording.next_block()? {
        let Ok(()) = analyser.push(block.samples, &mut take);
        let at = Seconds(block.start.get());
        if let Some(share) = Share::of(recording.as_ref(), at) {
            progress(share);
        }
    }
    let (last, leftover) = analyser.finish();
    let Ok(()) = take(&last);
    let recording = recording.finish()?;
    let timeline = reader.finish(&recording, leftover.clipped_share);
    let verdict = cause::judge(&timeline, options.hang);
    progress(Share::ALL);
    Ok(Check {
        recording,
        timeline,
        verdict,
        strip: leftover.strip,
        stated: *options,
    })
}
