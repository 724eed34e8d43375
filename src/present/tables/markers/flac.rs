//! FLAC with markers, after RFC 9639: a cue sheet that names each marker's sample, and chapters
//! among the comments (as Xiph's wiki describes them) that name its time and its label, because a
//! cue sheet holds no text.

use super::{Body, Marker};
use crate::error::{Error, Result};
use crate::units::SampleRate;
use flacenc::bitsink::ByteSink;
use flacenc::component::{BitRepr, StreamInfo};
use flacenc::config::Encoder;
use flacenc::error::{Verified, Verify};
use flacenc::source::{Context, Fill, FrameBuf};

/// Samples of a frame: the encoder's usual one.
const FRAME: usize = 4096;
/// Bits of a sample.
const BITS: usize = 16;
/// Kinds of metadata blocks.
const STREAM_INFO: u8 = 0;
const PADDING: u8 = 1;
const COMMENTS: u8 = 4;
const CUE_SHEET: u8 = 5;
/// Set in the kind of the last block.
const LAST: u8 = 0x80;
/// Kind and length of a block.
const BLOCK_HEAD_BYTES: usize = 4;
/// Tracks of a cue sheet that can hold points; the next one is its end.
const TRACKS: usize = 254;
/// Number of the track that is the end.
const END_TRACK: u8 = 255;
/// Points of one track.
const POINTS: usize = 255;
/// Chapters have three digits and begin at 1.
const CHAPTERS: usize = 999;

/// Whether the encoder takes this rate.
pub(super) fn holds(rate: SampleRate) -> bool {
    facts(rate).is_some()
}

fn facts(rate: SampleRate) -> Option<StreamInfo> {
    StreamInfo::new(rate.hz() as usize, 1, BITS).ok()
}

/// A FLAC file in the making.
pub(super) struct Flac {
    file: String,
    rate: SampleRate,
    config: Verified<Encoder>,
    facts: StreamInfo,
    frame: FrameBuf,
    digest: Context,
    frames: usize,
    /// Samples that do not fill a frame yet.
    held_back: Vec<i32>,
}

impl Flac {
    pub(super) fn new(file: &str, rate: SampleRate) -> Result<Self> {
        let begun = || {
            let config = Encoder::default().into_verified().ok()?;
            Some((config, facts(rate)?, FrameBuf::with_size(1, FRAME).ok()?))
        };
        let (config, facts, frame) = begun().ok_or_else(|| Error::Limit {
            what: format!("{file}: {} Hz is no rate to write FLAC at", rate.hz()),
            limit: "96000 Hz".into(),
            remedy: "keep this sound as WAV".into(),
        })?;
        Ok(Self {
            file: file.to_owned(),
            rate,
            config,
            facts,
            frame,
            digest: Context::new(BITS, 1),
            frames: 0,
            held_back: Vec::with_capacity(FRAME),
        })
    }

    fn encode(&mut self, samples: &[i32]) -> Result<Vec<u8>> {
        let file = &self.file;
        let failed = |fault: String| Error::io(file, std::io::Error::other(fault));
        (self.frame.fill_interleaved(samples)).map_err(|f| failed(f.to_string()))?;
        (self.digest.fill_interleaved(samples)).map_err(|f| failed(f.to_string()))?;
        let frame =
            flacenc::encode_fixed_size_frame(&self.config, &self.frame, self.frames, &self.facts)
                .map_err(|f| failed(f.to_string()))?;
        let mut bytes = ByteSink::new();
        frame.write(&mut bytes).map_err(|f| failed(f.to_string()))?;
        self.facts.update_frame_info(&frame);
        self.frames += 1;
        Ok(bytes.into_inner())
    }

    fn stream_info(&self) -> Result<Vec<u8>> {
        let failed = |fault: String| Error::io(&self.file, std::io::Error::other(fault));
        let mut facts = self.facts.clone();
        // The last frame, which may be shorter, does not count; no frame is of no known length.
        (facts.set_block_sizes(FRAME, FRAME)).map_err(|f| failed(f.to_string()))?;
        if self.frames == 0 {
            (facts.set_frame_sizes(0, 0)).map_err(|f| failed(f.to_string()))?;
        }
        facts.set_md5_digest(&self.digest.md5_digest());
        let mut bytes = ByteSink::new();
        facts.write(&mut bytes).map_err(|f| failed(f.to_string()))?;
        Ok(bytes.into_inner())
    }
}

impl Body for Flac {
    fn add(&mut self, samples: &[i16]) -> Result<Vec<u8>> {
        let mut bytes = Vec::new();
        self.held_back.extend(samples.iter().map(|s| i32::from(*s)));
        let whole = self.held_back.len() / FRAME * FRAME;
        let rest = self.held_back.split_off(whole);
        let ready = std::mem::replace(&mut self.held_back, rest);
        for frame in ready.chunks_exact(FRAME) {
            bytes.extend(self.encode(frame)?);
        }
        Ok(bytes)
    }

    fn last(&mut self) -> Result<Vec<u8>> {
        let rest = std::mem::take(&mut self.held_back);
        if rest.is_empty() {
            return Ok(Vec::new());
        }
        self.encode(&rest)
    }

    fn room(&self, markers: &[&Marker]) -> Result<usize> {
        Ok(self.head(markers, None)?.len() + BLOCK_HEAD_BYTES)
    }

    fn head(&self, markers: &[&Marker], room: Option<usize>) -> Result<Vec<u8>> {
        let mut blocks = vec![
            (STREAM_INFO, self.stream_info()?),
            (COMMENTS, comments(markers, self.rate)),
        ];
        if !markers.is_empty() {
            let end = self.facts.total_samples() as u64;
            blocks.push((CUE_SHEET, cue_sheet(markers, end)));
        }
        let length = |blocks: &[(u8, Vec<u8>)]| -> usize {
            let content = blocks.iter().map(|(_, c)| BLOCK_HEAD_BYTES + c.len());
            b"fLaC".len() + content.sum::<usize>()
        };
        if let Some(room) = room {
            let padding = room.saturating_sub(length(&blocks) + BLOCK_HEAD_BYTES);
            blocks.push((PADDING, vec![0; padding]));
        }
        let mut head = b"fLaC".to_vec();
        for (n, (kind, content)) in blocks.iter().enumerate() {
            let last = if n + 1 == blocks.len() { LAST } else { 0 };
            head.push(kind | last);
            head.extend(&(content.len() as u32).to_be_bytes()[1..]);
            head.extend(content);
        }
        Ok(head)
    }

    fn tail(&self, _: &[&Marker]) -> Vec<u8> {
        Vec::new()
    }
}

/// Who wrote it, and a chapter for each marker.
fn comments(markers: &[&Marker], rate: SampleRate) -> Vec<u8> {
    let mut lines = Vec::new();
    for (n, marker) in (1..=CHAPTERS).zip(markers) {
        let time = clock(marker.frame, rate);
        lines.push(format!("CHAPTER{n:03}={time}"));
        lines.push(format!("CHAPTER{n:03}NAME={}", marker.label));
    }
    let text = |text: &str| [&(text.len() as u32).to_le_bytes()[..], text.as_bytes()].concat();
    let mut block = text("tailbeat");
    block.extend((lines.len() as u32).to_le_bytes());
    block.extend(lines.iter().flat_map(|line| text(line)));
    block
}

/// Hours, minutes, seconds and thousandths.
fn clock(frame: u64, rate: SampleRate) -> String {
    let hz = u64::from(rate.hz());
    let ms = (frame * 1000 + hz / 2) / hz;
    let (s, m) = (ms / 1000, ms / 60_000);
    format!("{:02}:{:02}:{:02}.{:03}", m / 60, m % 60, s % 60, ms % 1000)
}

/// A track for each marker; where there are more than tracks, each takes several as its points.
fn cue_sheet(markers: &[&Marker], end: u64) -> Vec<u8> {
    let a_track = markers.len().div_ceil(TRACKS).clamp(1, POINTS);
    let tracks: Vec<&[&Marker]> = markers.chunks(a_track).take(TRACKS).collect();
    let mut sheet = vec![0; 128]; // catalogue number: none
    sheet.extend(0u64.to_be_bytes()); // lead-in: none
    sheet.extend([0; 259]); // no compact disc, and reserved
    sheet.push(tracks.len() as u8 + 1);
    for (number, points) in (1u8..).zip(&tracks) {
        let start = points.first().map_or(0, |p| p.frame);
        track(&mut sheet, start, number, points.len() as u8);
        for (n, point) in (1u8..=255).zip(*points) {
            sheet.extend((point.frame - start).to_be_bytes());
            sheet.push(n);
            sheet.extend([0; 3]);
        }
    }
    track(&mut sheet, end, END_TRACK, 0);
    sheet
}

fn track(sheet: &mut Vec<u8>, start: u64, number: u8, points: u8) {
    sheet.extend(start.to_be_bytes());
    sheet.push(number);
    sheet.extend([0; 12]); // recording code: none
    sheet.extend([0; 14]); // sound without pre-emphasis, and reserved
    sheet.push(points);
}
