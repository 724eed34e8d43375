//! WAV with cue markers: `cue ` and `LIST`/`adtl`/`labl` chunks after the multimedia programming
//! interface and data specifications of 1991 (IBM and Microsoft). The position of a point is
//! counted in sample frames, as is the custom.

use super::{Body, Marker};
use crate::error::{Error, Result};
use crate::units::SampleRate;

/// Bytes of a sample: 16-bit, mono.
const SAMPLE_BYTES: u64 = 2;
/// RIFF, fmt and the head of data.
const HEAD_BYTES: u64 = 44;

/// A WAV file in the making.
pub(super) struct Wav {
    file: String,
    rate: SampleRate,
    samples: u64,
}

impl Wav {
    pub(super) fn new(file: &str, rate: SampleRate) -> Self {
        Self {
            file: file.to_owned(),
            rate,
            samples: 0,
        }
    }

    fn too_long(&self) -> Error {
        Error::Limit {
            what: format!(
                "{}: the copy with markers grows too long for a WAV file",
                self.file
            ),
            limit: "4 GiB".into(),
            remedy: "cut the recording first, or use events.csv or events.vtt".into(),
        }
    }
}

impl Body for Wav {
    fn add(&mut self, samples: &[i16]) -> Result<Vec<u8>> {
        self.samples += samples.len() as u64;
        if HEAD_BYTES + self.samples * SAMPLE_BYTES > u64::from(u32::MAX) {
            return Err(self.too_long());
        }
        Ok(samples.iter().flat_map(|s| s.to_le_bytes()).collect())
    }

    fn last(&mut self) -> Result<Vec<u8>> {
        Ok(Vec::new())
    }

    fn room(&self, _: &[&Marker]) -> Result<usize> {
        Ok(HEAD_BYTES as usize)
    }

    fn head(&self, markers: &[&Marker], _: Option<usize>) -> Result<Vec<u8>> {
        let behind = self.tail(markers).len() as u64;
        let data = self.samples * SAMPLE_BYTES;
        let riff = u32::try_from(HEAD_BYTES - 8 + data + behind).map_err(|_| self.too_long())?;
        let hz = self.rate.hz();
        let mut head = Vec::with_capacity(HEAD_BYTES as usize);
        head.extend(b"RIFF");
        head.extend(riff.to_le_bytes());
        head.extend(b"WAVEfmt ");
        head.extend(16u32.to_le_bytes());
        head.extend(1u16.to_le_bytes()); // PCM
        head.extend(1u16.to_le_bytes()); // one channel
        head.extend(hz.to_le_bytes());
        head.extend(hz.wrapping_mul(SAMPLE_BYTES as u32).to_le_bytes());
        head.extend((SAMPLE_BYTES as u16).to_le_bytes());
        head.extend((8 * SAMPLE_BYTES as u16).to_le_bytes());
        head.extend(b"data");
        head.extend((data as u32).to_le_bytes());
        Ok(head)
    }

    /// `cue ` and `LIST adtl`; nothing without markers. Names count from 1 and are unique.
    fn tail(&self, markers: &[&Marker]) -> Vec<u8> {
        if markers.is_empty() {
            return Vec::new();
        }
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
        [chunk(b"cue ", &cue), chunk(b"LIST", &labels)].concat()
    }
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
