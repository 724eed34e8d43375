//! The frame at the start of many MP3 files that holds no sound but the number of frames and
//! the encoder's delay. Layout from memory, checked against files of two encoders.

use super::header::{Family, Header};
use crate::tuning::intake::MP3_DECODER_DELAY_SAMPLES;

/// What the frame tells.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Info {
    /// MPEG frames in the stream, itself not counted.
    pub frames: Option<u32>,
    /// Bytes of the stream, itself counted.
    pub bytes: Option<u32>,
    /// Samples before the sound, the decoder's own included.
    pub delay: Option<u32>,
    /// Samples behind the sound.
    pub padding: u32,
}

impl Info {
    /// Reads a whole frame; `None` where it is one with sound.
    pub fn read(header: &Header, frame: &[u8]) -> Option<Self> {
        if header.family != Family::Layer3 {
            return None;
        }
        let number = |at: usize| -> Option<u32> {
            Some(u32::from_be_bytes(*frame.get(at..at + 4)?.first_chunk()?))
        };
        let mut at = 4 + header.side_bytes();
        match frame.get(at..at + 4)? {
            b"Xing" | b"Info" => {}
            _ => {
                // The other tag stands behind 32 bytes, whatever the frame's kind.
                (frame.get(36..40)? == b"VBRI").then_some(())?;
                return Some(Self {
                    bytes: number(46),
                    frames: number(50),
                    ..Self::default()
                });
            }
        }
        let flags = number(at + 4)?;
        at += 8;
        let mut info = Self::default();
        if flags & 1 != 0 {
            info.frames = Some(number(at)?);
            at += 4;
        }
        if flags & 2 != 0 {
            info.bytes = Some(number(at)?);
            at += 4;
        }
        at += if flags & 4 != 0 { 100 } else { 0 };
        at += if flags & 8 != 0 { 4 } else { 0 };
        // The encoder's name, then at byte 21 twice twelve bits.
        let name = frame.get(at..at + 4)?;
        if let Some([a, b, c]) = frame.get(at + 21..at + 24)
            && name.iter().all(u8::is_ascii_alphanumeric)
        {
            let both = u32::from(*a) << 16 | u32::from(*b) << 8 | u32::from(*c);
            info.delay = Some((both >> 12) + MP3_DECODER_DELAY_SAMPLES as u32);
            info.padding = (both & 0xfff).saturating_sub(MP3_DECODER_DELAY_SAMPLES as u32);
        }
        Some(info)
    }
}
