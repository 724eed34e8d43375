//! Bytes to a [`Recording`](recording::Recording): containers, codecs, channel choice, damage
//! counted and time-stamped, start time, groups of clips, one validity gate.

mod aiff;
mod channels;
mod clips;
mod clock;
mod damage;
mod decode;
mod delay;
mod digest;
mod far;
mod feed;
mod first;
mod frames;
mod front;
mod gate;
mod kind;
mod matroska;
mod mp4;
mod ogg;
mod opus;
mod reached;
pub mod recording;
mod registry;
mod riff;
mod single;
mod source;
mod splice;
mod start;

pub use far::Far;

use crate::error::Result;
use crate::units::{SampleRate, Seconds};
use recording::Recording;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Opens a file on disk. Its digest is made meanwhile on a thread of its own.
///
/// # Errors
/// The file cannot be opened, is empty, is no recording, or is of a kind that cannot be read
/// here; each names the file and the remedy.
pub fn open(path: &Path) -> Result<Box<dyn Recording>> {
    let (source, digest) = source::Source::from_path(path)?;
    Ok(Box::new(single::Single::open(source, digest)?))
}

/// Opens a file on disk under another name, which results and errors carry, and which may tell
/// when it was recorded.
///
/// # Errors
/// As [`open`].
pub fn open_as(path: &Path, name: &str) -> Result<Box<dyn Recording>> {
    let (mut source, digest) = source::Source::from_path(path)?;
    source.name = name.into();
    source.given = name.into();
    Ok(Box::new(single::Single::open(source, digest)?))
}

/// Opens a container that comes as a stream, such as standard input. It is taken to its end
/// first (into memory, then into a temporary file), because several containers keep their index
/// at the end. `name` stands for it in results and errors.
///
/// # Errors
/// As [`open`], and where the stream fails.
pub fn open_stream(name: &str, stream: Box<dyn Read + Send>) -> Result<Box<dyn Recording>> {
    let (source, digest) = source::Source::from_stream(name, name, stream)?;
    Ok(Box::new(single::Single::open(source, digest)?))
}

/// Opens the clips of a voice-activated recorder, one transmission a file, and puts them on one
/// clock with exact zeros between them. Folders are walked. Each clip's start comes from the
/// recorder's own field, its name, other metadata or the file's time, one of these for all; its
/// resolution is in [`ClipJoin`](recording::ClipJoin). The digest is that of the lines
/// `DIGEST  NAME` of all clips in the order of time, as general checksum tools print them.
///
/// # Errors
/// No recording is among them, they differ in rate or channels, their starts are unknown, they
/// overlap, or they span more than eight days. Overlaps that only decoding shows are errors of
/// [`next_block`](recording::Recording::next_block).
pub fn open_clips(paths: &[PathBuf]) -> Result<Box<dyn Recording>> {
    Ok(Box::new(clips::Group::open(paths, &|path| {
        path.display().to_string()
    })?))
}

/// Opens clips that stand for others: `given` is what errors call a file on disk.
///
/// # Errors
/// As [`open_clips`].
pub fn open_clips_as(
    paths: &[PathBuf],
    given: &dyn Fn(&Path) -> String,
) -> Result<Box<dyn Recording>> {
    Ok(Box::new(clips::Group::open(paths, given)?))
}

/// What a file's header and name tell before it is decoded.
#[derive(Debug, Clone, PartialEq)]
pub struct FileFacts {
    /// Samples a second.
    pub rate: SampleRate,
    /// Channels.
    pub channels: usize,
    /// Length, where the header states it.
    pub length: Option<Seconds>,
    /// Start in civil time, as [`RecordingInfo`](recording::RecordingInfo) has it.
    pub started_at: Option<String>,
}

/// Looks at a file without decoding it.
///
/// # Errors
/// As [`open`].
pub fn facts(path: &Path) -> Result<FileFacts> {
    facts_of(&source::Source::on_disk(path)?)
}

/// Looks at bytes that lie elsewhere; no more of them are fetched than the container needs. `name`
/// is the file's own, `given` what errors call it.
///
/// # Errors
/// As [`open`], and where the bytes cannot be fetched.
pub fn facts_far(name: &str, given: &str, far: Arc<dyn Far>) -> Result<FileFacts> {
    facts_of(&source::Source::far(name, given, far))
}

fn facts_of(source: &source::Source) -> Result<FileFacts> {
    let decoder = decode::Decoder::open(source)?;
    let started = start::of_file(&source.name, &decoder.front);
    let length = decoder.expected.filter(|_| !decoder.front.estimated);
    Ok(FileFacts {
        rate: decoder.rate,
        channels: decoder.channels(),
        length: length.map(|frames| decoder.rate.samples_to_seconds(frames)),
        started_at: started.map(|moment| moment.rfc3339()),
    })
}
