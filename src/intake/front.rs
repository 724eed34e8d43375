//! What stands before the first packet: which container it is, what it says about itself, and
//! a clear word where it is none that can be read.

use super::first::guarded;
use super::kind::{self, Kind};
use super::matroska::Resuming;
use super::source::Source;
use super::start::{self, Moment};
use super::{aiff, frames, matroska, mp4, ogg, riff};
use crate::error::{Error, Result};
use crate::tuning::intake::{HIGHEST_RATE_HZ, LOWEST_RATE_HZ, MOST_CHANNELS, READ_AHEAD_BYTES};
use crate::units::{SampleRate, Seconds};
use std::io::ErrorKind;
use symphonia::core::errors::Error as Trouble;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, FormatReader};
use symphonia::core::io::{MediaSource, MediaSourceStream, MediaSourceStreamOptions, ReadBytes};
use symphonia::core::meta::MetadataOptions;
use symphonia::default::formats::IsoMp4Reader;

/// Remedy where the file is sound but of a kind that has no decoder here.
pub(super) const CONVERT: &str =
    "convert it first with a general tool, for example: ffmpeg -i IN -ar 48000 OUT.wav";

/// Remedy where the file itself is broken.
pub(super) const RECORD_AGAIN: &str =
    "copy the recording again from its device, or see whether any player opens it";

/// What the container told.
#[derive(Debug, Default)]
pub(super) struct Front {
    /// Short name of the container.
    pub container: &'static str,
    /// Samples on the recording's clock, where they are certain; what is beyond is padding.
    pub frames: Option<u64>,
    /// Samples on the recording's clock, by the header.
    pub expected: Option<u64>,
    /// That number is a guess.
    pub estimated: bool,
    /// The header was never finished: the recorder was interrupted.
    pub unfinished: bool,
    /// The file ends before its header says.
    pub cut: bool,
    /// Codec delay in samples, where known.
    pub delay: Option<u64>,
    /// Codec delay and true length by an edit list.
    pub edit: Option<(Seconds, Seconds)>,
    /// Name of a codec that may turn out to have no decoder.
    pub codec_hint: Option<String>,
    /// Start in civil time.
    pub started: Option<Moment>,
    /// The start was written by the recorder itself, for this purpose.
    pub started_is_sure: bool,
}

/// Opens the container.
pub(super) fn open(source: &Source) -> Result<(Box<dyn FormatReader>, Front)> {
    let given = &source.given;
    if source.len == 0 {
        return Err(Error::BadFile {
            file: given.clone(),
            what: "the file is empty".into(),
            remedy: "the recorder wrote nothing: check its storage and its input".into(),
        });
    }
    let head = source.head(kind::HEAD_BYTES)?;
    let kind = kind::tell(&head, given)?;
    let (media, mut front) = match kind {
        Kind::Wave => riff::present(source)?,
        Kind::Aiff => aiff::present(source)?,
        Kind::Mp4 => mp4::present(source)?,
        Kind::Ogg => ogg::present(source)?,
        Kind::Matroska => (source.open()?, matroska::look(&head)),
        Kind::Other(container) => (
            source.open()?,
            Front {
                container,
                ..Front::default()
            },
        ),
        Kind::Frames => {
            let (mut reader, mut front) =
                frames::open(source)?.ok_or_else(|| kind::no_recording(given))?;
            front.started = start::from_tags(reader.as_mut());
            return Ok((reader, front));
        }
    };
    let opened = match kind {
        Kind::Mp4 => open_mp4(media),
        Kind::Matroska => Resuming::open(source.clone(), media),
        _ => probe(media),
    };
    let mut reader = opened.map_err(|error| refusal(error, kind, &front, given))?;
    front.started = front.started.or_else(|| start::from_tags(reader.as_mut()));
    Ok((reader, front))
}

/// Lets symphonia find the container's reader.
pub(super) fn probe(media: Box<dyn MediaSource>) -> Result<Box<dyn FormatReader>, Trouble> {
    let options = MediaSourceStreamOptions {
        buffer_len: READ_AHEAD_BYTES * 2,
    };
    let stream = MediaSourceStream::new(media, options);
    let (formats, tags) = (FormatOptions::default(), MetadataOptions::default());
    guarded(|| symphonia::default::get_probe().probe(&Hint::new(), stream, formats, tags))
}

/// Without the probe, which looks for tags at the file's end and fails on one that is cut off.
fn open_mp4(media: Box<dyn MediaSource>) -> Result<Box<dyn FormatReader>, Trouble> {
    let mut stream = MediaSourceStream::new(media, MediaSourceStreamOptions::default());
    guarded(|| {
        // The reader expects to stand behind the first part's size.
        stream.ignore_bytes(4)?;
        let reader = IsoMp4Reader::try_new(stream, FormatOptions::default())?;
        Ok(Box::new(reader) as Box<dyn FormatReader>)
    })
}

fn refusal(error: Trouble, kind: Kind, front: &Front, given: &str) -> Error {
    match (error, &front.codec_hint) {
        (Trouble::IoError(error), _) if error.kind() != ErrorKind::UnexpectedEof => {
            Error::io(given, error)
        }
        (Trouble::Unsupported(_), Some(codec)) => Error::Unsupported {
            file: given.to_owned(),
            what: codec.clone(),
            remedy: CONVERT.into(),
        },
        _ if kind == Kind::Mp4 => mp4::torn(given),
        _ => Error::BadFile {
            file: given.to_owned(),
            what: format!("its {} header or index is damaged", front.container),
            remedy: RECORD_AGAIN.into(),
        },
    }
}

/// The rate, if it is one that a recording can have.
pub(super) fn sound_rate(hz: u32, given: &str) -> Result<SampleRate> {
    let bad = |what: String, remedy: &str| Error::BadFile {
        file: given.to_owned(),
        what,
        remedy: remedy.into(),
    };
    match SampleRate::new(hz) {
        Some(rate) if (LOWEST_RATE_HZ..=HIGHEST_RATE_HZ).contains(&hz) => Ok(rate),
        Some(_) if (1_000..LOWEST_RATE_HZ).contains(&hz) => Err(bad(
            format!("its sample rate of {hz} Hz leaves no room for the noise above speech"),
            "record with 8000 Hz or more",
        )),
        _ => Err(bad(
            format!("its header claims a sample rate of {hz} Hz, so the header is damaged"),
            "repair the header with a general tool that takes the true rate, or record again",
        )),
    }
}

/// Refuses a channel count that no recorder makes.
pub(super) fn sound_channels(channels: usize, given: &str) -> Result<()> {
    if (1..=MOST_CHANNELS).contains(&channels) {
        return Ok(());
    }
    Err(Error::BadFile {
        file: given.to_owned(),
        what: format!("its header claims {channels} channels"),
        remedy: "keep only the radio's channel, with a general tool".into(),
    })
}
