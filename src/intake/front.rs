//! What stands before the first packet: which container it is, what it says about itself, and
//! a clear word where it is none that can be read.

use super::source::Source;
use crate::error::{Error, Result};
use crate::tuning::intake::{HIGHEST_RATE_HZ, LOWEST_RATE_HZ, MOST_CHANNELS, READ_AHEAD_BYTES};
use crate::units::SampleRate;
use symphonia::core::codecs::audio::well_known::CODEC_ID_OPUS;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, FormatReader, Track, well_known as id};
use symphonia::core::io::{MediaSourceStream, MediaSourceStreamOptions};
use symphonia::core::meta::MetadataOptions;

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
    /// Length in samples, where it is certain.
    pub frames: Option<u64>,
    /// The length that the header gives is a guess.
    pub estimated: bool,
    /// Codec delay in samples, where known.
    pub delay: Option<u64>,
    /// Name of a codec that may turn out to have no decoder.
    pub codec_hint: Option<String>,
}

/// Opens the container.
pub(super) fn open(source: &Source) -> Result<(Box<dyn FormatReader>, Front)> {
    if source.len == 0 {
        return Err(Error::BadFile {
            file: source.given.clone(),
            what: "the file is empty".into(),
            remedy: "the recorder wrote nothing: check its storage and its input".into(),
        });
    }
    let options = MediaSourceStreamOptions {
        buffer_len: READ_AHEAD_BYTES * 2,
    };
    let stream = MediaSourceStream::new(source.open()?, options);
    let reader = symphonia::default::get_probe()
        .probe(
            &Hint::new(),
            stream,
            FormatOptions::default(),
            MetadataOptions::default(),
        )
        .map_err(|_| Error::BadFile {
            file: source.given.clone(),
            what: "this is not a sound recording in any format known here".into(),
            remedy: CONVERT.into(),
        })?;
    let container = match reader.format_info().format {
        id::FORMAT_ID_WAVE => "wav",
        id::FORMAT_ID_AIFF => "aiff",
        id::FORMAT_ID_CAF => "caf",
        id::FORMAT_ID_MP1 => "mp1",
        id::FORMAT_ID_MP2 => "mp2",
        id::FORMAT_ID_MP3 => "mp3",
        id::FORMAT_ID_ADTS => "adts",
        id::FORMAT_ID_OGG => "ogg",
        id::FORMAT_ID_FLAC => "flac",
        id::FORMAT_ID_ISOMP4 => "mp4",
        id::FORMAT_ID_MKV => "matroska",
        _ => reader.format_info().short_name,
    };
    Ok((
        reader,
        Front {
            container,
            ..Front::default()
        },
    ))
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
        Some(_) if hz < LOWEST_RATE_HZ && hz >= 1_000 => Err(bad(
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

/// Samples that the encoder put before the sound, where the track tells.
pub(super) fn codec_delay(track: &Track) -> Option<u64> {
    let params = track.codec_params.as_ref()?.audio()?;
    if params.codec == CODEC_ID_OPUS {
        let head = super::opus::OpusHead::read(params.extra_data.as_deref()?)?;
        return Some(u64::from(head.pre_skip));
    }
    track.delay.map(u64::from)
}
