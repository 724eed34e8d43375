//! The staircase: the only place that calls the floors in order.

use crate::acoustics::frames::Strip;
use crate::acoustics::{Analyser, Leftover};
use crate::cause::verdict::Verdict;
use crate::intake::recording::{Recording, RecordingInfo};
use crate::timeline::Reader;
use crate::timeline::types::{ListeningMode, Timeline};
use crate::tuning::intake::{PIECE_SAMPLES, PIECES_AHEAD};
use crate::units::{SampleRate, Seconds};
use crate::{cause, intake};
use std::convert::Infallible;
use std::sync::mpsc;

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
    reader: Reader,
    mut recording: Box<dyn Recording>,
    options: &CheckOptions,
    progress: &mut dyn FnMut(Share),
) -> crate::Result<Check> {
    let mut ear = Ear::new(reader, recording.rate());
    while let Some(block) = recording.next_block()? {
        ear.hear(block.samples);
        let at = Seconds(block.start.get());
        if let Some(share) = Share::of(recording.as_ref(), at) {
            progress(share);
        }
    }
    conclude(ear.finish(), recording, options, progress)
}

/// Checks a recording on so many threads: one decodes, the others hear. What comes out is the same as
/// on one. For a single long recording; many are better checked at the same time, each on one.
///
/// # Errors
/// As [`check_file`].
pub fn check_on(
    threads: usize,
    mut recording: Box<dyn Recording>,
    options: &CheckOptions,
    progress: &mut dyn FnMut(Share),
) -> crate::Result<Check> {
    let reader = Reader::new(options.mode);
    if threads < 2 {
        return check_by(reader, recording, options, progress);
    }
    let ear = Ear::new(reader.on(threads), recording.rate());
    let heard = beside(ear, recording.as_mut(), progress)?;
    conclude(heard, recording, options, progress)
}

/// What turns sound into what it holds, piece by piece.
struct Ear {
    analyser: Analyser,
    reader: Reader,
}

impl Ear {
    fn new(reader: Reader, rate: SampleRate) -> Self {
        Self {
            analyser: Analyser::new(rate),
            reader,
        }
    }

    fn hear(&mut self, samples: &[f32]) {
        let reader = &mut self.reader;
        let Ok(()) = (self.analyser).push(samples, &mut |block| -> Result<(), Infallible> {
            reader.push(block);
            Ok(())
        });
    }

    fn finish(mut self) -> (Reader, Leftover) {
        let (last, leftover) = self.analyser.finish();
        self.reader.push(&last);
        (self.reader, leftover)
    }
}

/// A piece of sound on its way from the decoder to the ear: several of the decoder's blocks, for each
/// step over costs time, and where each of them ends, for the ear takes them as they came.
#[derive(Default)]
struct Piece {
    samples: Vec<f32>,
    ends: Vec<usize>,
}

/// Decodes on this thread, where the progress is told, while the ear hears on another.
fn beside(
    mut ear: Ear,
    recording: &mut dyn Recording,
    progress: &mut dyn FnMut(Share),
) -> crate::Result<(Reader, Leftover)> {
    std::thread::scope(|scope| {
        let (hand_over, pieces) = mpsc::sync_channel::<Piece>(PIECES_AHEAD);
        let hears = scope.spawn(move || {
            for piece in pieces {
                let mut from = 0;
                for end in piece.ends {
                    ear.hear(&piece.samples[from..end]);
                    from = end;
                }
            }
            ear.finish()
        });
        let mut piece = Piece::default();
        while let Some(block) = recording.next_block()? {
            piece.samples.extend_from_slice(block.samples);
            piece.ends.push(piece.samples.len());
            let at = Seconds(block.start.get());
            if piece.samples.len() >= PIECE_SAMPLES
                && hand_over.send(std::mem::take(&mut piece)).is_err()
            {
                // The ear is gone, and tells why when it is joined.
                break;
            }
            if let Some(share) = Share::of(recording, at) {
                progress(share);
            }
        }
        let _ = hand_over.send(piece);
        drop(hand_over);
        Ok(hears
            .join()
            .unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
    })
}

/// From what was heard to what it means.
fn conclude(
    (reader, leftover): (Reader, Leftover),
    recording: Box<dyn Recording>,
    options: &CheckOptions,
    progress: &mut dyn FnMut(Share),
) -> crate::Result<Check> {
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
