//! MP3 and raw AAC: streams of frames without time stamps. Symphonia's readers skip damage in
//! silence and so shorten the recording; this one knows by the bytes it passed over how many
//! frames are missing, and stamps the next frame accordingly.

mod header;
mod info;
mod reader;

use super::front::Front;
use super::source::Source;
use crate::error::{Error, Result};
use crate::tuning::intake::{AAC_DELAY_SAMPLES, MP3_DELAY_SAMPLES, MPEG_LAYER_2_DELAY_SAMPLES};
use header::Family;
use reader::FrameReader;
use symphonia::core::formats::FormatReader;

/// Opens a stream of frames; `None` where the source is none.
pub(super) fn open(source: &Source) -> Result<Option<(Box<dyn FormatReader>, Front)>> {
    let media = source.open()?;
    let found = FrameReader::find(media, source.len);
    let Some(reader) = found.map_err(|error| Error::io(&source.given, error))? else {
        return Ok(None);
    };
    let header = reader.header();
    let assumed = match header.family {
        Family::Layer3 => MP3_DELAY_SAMPLES,
        Family::Layer2 | Family::Layer1 => MPEG_LAYER_2_DELAY_SAMPLES,
        Family::Adts => AAC_DELAY_SAMPLES,
    };
    let info = reader.info();
    let delay = info.delay.map_or(assumed, u64::from);
    let counted = info
        .frames
        .map(|frames| u64::from(frames) * u64::from(header.samples));
    let cut = |all: u64| all.saturating_sub(delay + u64::from(info.padding));
    let front = Front {
        container: header.container(),
        // The count holds for one stream; bytes behind it are another stream put after it.
        frames: counted
            .filter(|_| info.delay.is_some() && reader.is_one_stream())
            .map(cut),
        expected: counted
            .filter(|_| reader.is_one_stream())
            .map(cut)
            .or_else(|| reader.estimate().map(|all| all.saturating_sub(delay))),
        estimated: counted.is_none() || !reader.is_one_stream(),
        cut: reader.is_cut(),
        delay: Some(delay),
        ..Front::default()
    };
    Ok(Some((Box::new(reader), front)))
}

/// Bytes that an `ID3` tag at the front of `head` takes, footer included; zero without one.
pub(super) fn tag_length(head: &[u8]) -> u64 {
    let [b'I', b'D', b'3', major, _, flags, a, b, c, d, ..] = *head else {
        return 0;
    };
    if major == 0xff || (a | b | c | d) & 0x80 != 0 {
        return 0;
    }
    let body = [a, b, c, d]
        .iter()
        .fold(0_u64, |sum, part| sum << 7 | u64::from(*part));
    let footer = if flags & 0x10 != 0 { 10 } else { 0 };
    10 + body + footer
}
