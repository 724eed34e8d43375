//! WAV, RF64 and BW64: finds the format, the samples and the start time among the chunks, and
//! presents the samples to symphonia behind a plain header of our own. So files over 4 GiB,
//! headers that an interrupted recorder never finished, and unusual format chunks are all read
//! the same way. Layout: IBM/Microsoft 1991 for RIFF; ITU-R BS.2088-1 for RF64/BW64
//! (second-hand); EBU Tech 3285 for `bext` (from memory).

mod chunks;
mod format;

use super::front::{self, Front};
use super::source::Source;
use super::splice::Splice;
use crate::error::{Error, Result};
use chunks::Chunks;
use format::Format;
use symphonia::core::io::MediaSource;

/// Whether the first bytes are those of a RIFF family file with waves in it.
pub(super) fn is_wave(head: &[u8]) -> bool {
    head.len() >= 12 && matches!(&head[..4], b"RIFF" | b"RF64" | b"BW64") && &head[8..12] == b"WAVE"
}

/// Presents the samples, and what the header told.
pub(super) fn present(source: &Source) -> Result<(Box<dyn MediaSource>, Front)> {
    let failed = |error| Error::io(&source.given, error);
    let chunks = Chunks::read(source.open()?, source.len).map_err(failed)?;
    let (Some(format), Some(data)) = (&chunks.format, chunks.data) else {
        let what = if chunks.format.is_none() {
            "it ends before its header says how the sound is stored"
        } else {
            "it ends before its first sample"
        };
        return Err(Error::BadFile {
            file: source.given.clone(),
            what: what.into(),
            remedy: front::RECORD_AGAIN.into(),
        });
    };
    let format = Format::read(format, &source.given)?;
    let frames = format.frames(data.length);
    let told = chunks.frames_told;
    // The last block of ADPCM is padded; a count that differs by more is wrong.
    let certain = told
        .filter(|told| *told > 0 && *told <= frames && frames - *told < format.frames_per_block());
    let front = Front {
        container: if chunks.long { "rf64" } else { "wav" },
        frames: certain,
        expected: Some(
            data.claimed
                .map_or(frames, |claimed| format.frames(claimed)),
        ),
        unfinished: data.unfinished,
        cut: data.claimed.is_some_and(|claimed| claimed > data.length),
        started: chunks.started(format.rate()),
        started_is_sure: true,
        ..Front::default()
    };
    let body = source.open()?;
    let head = format.plain_header(data.length);
    let splice = Splice::new(head, body, data.at, data.length).map_err(failed)?;
    Ok((Box::new(splice), front))
}
