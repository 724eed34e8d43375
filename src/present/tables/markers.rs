//! A WAV copy whose events are cue markers: `cue ` and `LIST`/`adtl`/`labl` chunks after the
//! multimedia programming interface and data specifications of 1991 (IBM and Microsoft). The
//! position of a point is counted in sample frames, as is the custom.

use crate::check::Check;
use crate::error::{Error, Result};
use crate::present::numbers::plain;
use crate::present::wording::events;
use crate::units::{Instant, SampleRate};
use std::io::{Seek, SeekFrom, Write};

/// One marker.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Marker {
    /// Sample frame that it stands before.
    pub frame: u64,
    /// Its text, without zero bytes.
    pub label: String,
}

/// The events of a check as markers, for samples that begin at `first_sample`. Events before that
/// are left out.
#[must_use]
pub fn markers(check: &Check, rate: SampleRate, first_sample: Instant) -> Vec<Marker> {
    let mut list: Vec<Marker> = check
        .timeline
        .events
        .iter()
        .filter(|e| e.t.get().is_finite() && e.t.get() >= first_sample.get())
        .map(|event| Marker {
            frame: rate.seconds_to_samples(event.t - first_sample),
            label: plain(&events::name(&event.kind)),
        })
        .collect();
    list.sort_by_key(|m| m.frame);
    list
}

/// Bytes of a sample: 16-bit, mono.
const SAMPLE_BYTES: u64 = 2;
/// RIFF, fmt and the head of data.
const HEAD_BYTES: u64 = 44;

/// Writes a 16-bit mono WAV file with `markers`; returns the number of samples written. `blocks`
/// are runs of samples within -1.0..=1.0 in order; what lies beyond is clipped. Markers behind
/// the last sample are left out. `file` names the output in errors.
///
/// # Errors
/// A block's own error; [`Error::Io`] where writing fails; [`Error::Limit`] where the result
/// would pass the 4 GiB of a RIFF file.
pub fn write_wav<W, I>(
    out: &mut W,
    file: &str,
    rate: SampleRate,
    blocks: I,
    markers: &[Marker],
) -> Result<u64>
where
    W: Write + Seek,
    I: IntoIterator<Item = Result<Vec<f32>>>,
{
    let io = |source| Error::io(file, source);
    out.write_all(&head(rate, 0, 0)).map_err(io)?;
    let mut samples = 0u64;
    let mut bytes = Vec::new();
    for block in blocks {
        let block = block?;
        samples += block.len() as u64;
        if HEAD_BYTES + samples * SAMPLE_BYTES > u64::from(u32::MAX) {
            return Err(too_long(file));
        }
        bytes.clear();
        for sample in block {
            let scaled = (f64::from(sample) * 32768.0)
                .round()
                .clamp(-32768.0, 32767.0);
            bytes.extend((scaled as i16).to_le_bytes());
        }
        out.write_all(&bytes).map_err(io)?;
    }
    let kept: Vec<&Marker> = markers.iter().filter(|m| m.frame < samples).collect();
    let chunks = cue_chunks(&kept);
    let total = HEAD_BYTES - 8 + samples * SAMPLE_BYTES + chunks.len() as u64;
    let total = u32::try_from(total).map_err(|_| too_long(file))?;
    out.write_all(&chunks).map_err(io)?;
    out.seek(SeekFrom::Start(0)).map_err(io)?;
    out.write_all(&head(rate, total, (samples * SAMPLE_BYTES) as u32))
        .map_err(io)?;
    out.seek(SeekFrom::End(0)).map_err(io)?;
    out.flush().map_err(io)?;
    Ok(samples)
}

fn too_long(file: &str) -> Error {
    Error::Limit {
        what: format!("{file}: the copy with markers grows too long for a WAV file"),
        limit: "4 GiB".into(),
        remedy: "cut the recording first, or use events.csv or events.vtt".into(),
    }
}

fn head(rate: SampleRate, riff_size: u32, data_size: u32) -> Vec<u8> {
    let mut head = Vec::with_capacity(HEAD_BYTES as usize);
    head.extend(b"RIFF");
    head.extend(riff_size.to_le_bytes());
    head.extend(b"WAVEfmt ");
    head.extend(16u32.to_le_bytes());
    head.extend(1u16.to_le_bytes()); // PCM
    head.extend(1u16.to_le_bytes()); // one channel
    head.extend(rate.hz().to_le_bytes());
    head.extend(rate.hz().wrapping_mul(SAMPLE_BYTES as u32).to_le_bytes());
    head.extend((SAMPLE_BYTES as u16).to_le_bytes());
    head.extend((8 * SAMPLE_BYTES as u16).to_le_bytes());
    head.extend(b"data");
    head.extend(data_size.to_le_bytes());
    head
}

/// `cue ` and `LIST adtl`; nothing without markers. Names count from 1 and are unique.
fn cue_chunks(markers: &[&Marker]) -> Vec<u8> {
    let mut cue = Vec::new();
    let mut labels = b"adtl".to_vec();
    cue.extend((markers.len() as u32).to_le_bytes());
    for (name, marker) in (1u32..).zip(markers) {
        let frame = marker.frame as u32; // below 2^31: the data chunk is below 4 GiB
        cue.extend(name.to_le_bytes());
        cue.extend(frame.to_le_bytes());
        cue.extend(b"data");
        cue.extend(0u32.to_le_bytes());
        cue.extend(0u32.to_le_bytes());
        cue.extend(frame.to_le_bytes());
        let mut label = name.to_le_bytes().to_vec();
        label.extend(marker.label.bytes().filter(|&b| b != 0));
        label.push(0);
        labels.extend(chunk(b"labl", &label));
    }
    if markers.is_empty() {
        return Vec::new();
    }
    let mut chunks = chunk(b"cue ", &cue);
    chunks.extend(chunk(b"LIST", &labels));
    chunks
}

/// Name, length, content, and a zero where the length is odd (not counted in the length).
fn chunk(name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let mut chunk = name.to_vec();
    chunk.extend((content.len() as u32).to_le_bytes());
    chunk.extend(content);
    if content.len() % 2 == 1 {
        chunk.push(0);
    }
    chunk
}
