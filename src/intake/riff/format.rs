//! The `fmt ` chunk: what it says, and a plain one that says the same.

use crate::error::{Error, Result};
use crate::intake::front;
use crate::tuning::intake::MOST_CHANNELS;

const PCM: u16 = 0x0001;
const MS_ADPCM: u16 = 0x0002;
const FLOAT: u16 = 0x0003;
const A_LAW: u16 = 0x0006;
const MU_LAW: u16 = 0x0007;
const IMA_ADPCM: u16 = 0x0011;
const EXTENSIBLE: u16 = 0xfffe;

/// Kinds that are met in loggers' files and have no decoder here.
const NAMED: &[(u16, &str)] = &[
    (0x0014, "G.723 ADPCM in WAV"),
    (0x0022, "TrueSpeech in WAV"),
    (0x0031, "GSM 6.10 in WAV"),
    (0x0040, "G.721 ADPCM in WAV"),
    (0x0042, "G.723.1 in WAV"),
    (0x0045, "G.726 ADPCM in WAV"),
    (0x0050, "MPEG layer 2 in WAV"),
    (0x0055, "MP3 in WAV"),
    (0x0064, "G.726 ADPCM in WAV"),
    (0x0065, "G.722 ADPCM in WAV"),
    (0x0083, "G.729 in WAV"),
    (0x00ff, "AAC in WAV"),
    (0x0160, "Windows Media Audio in WAV"),
    (0x0161, "Windows Media Audio in WAV"),
    (0xa109, "Speex in WAV"),
];

/// How the samples are stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Format {
    kind: u16,
    channels: u16,
    rate: u32,
    block: u16,
    bits: u16,
}

impl Format {
    /// Reads the chunk's body.
    ///
    /// # Errors
    /// A kind without decoder, or numbers that cannot be.
    pub fn read(bytes: &[u8], given: &str) -> Result<Self> {
        let damaged = |what: String| Error::BadFile {
            file: given.to_owned(),
            what,
            remedy: front::RECORD_AGAIN.into(),
        };
        let number = |at: usize| -> Option<u16> {
            Some(u16::from_le_bytes(*bytes.get(at..at + 2)?.first_chunk()?))
        };
        let read = || {
            let rate = u32::from(number(4)?) | u32::from(number(6)?) << 16;
            Some((number(0)?, number(2)?, rate, number(12)?, number(14)?))
        };
        let Some((tag, channels, rate, block, bits)) = read() else {
            return Err(damaged("its format header is cut short".into()));
        };
        // The extensible header names the kind in the first bytes of an identifier.
        let kind = if tag == EXTENSIBLE {
            number(24).unwrap_or(tag)
        } else {
            tag
        };
        front::sound_rate(rate, given)?;
        front::sound_channels(usize::from(channels), given)?;
        let whole = block / channels;
        let bits = match kind {
            // The container's width counts: 12 or 20 bits sit at its upper end.
            PCM if block % channels == 0 && (1..=4).contains(&whole) => whole * 8,
            FLOAT if block % channels == 0 && (whole == 4 || whole == 8) => whole * 8,
            PCM if matches!(bits, 8 | 16 | 24 | 32) => bits,
            FLOAT if matches!(bits, 32 | 64) => bits,
            A_LAW | MU_LAW => 8,
            MS_ADPCM if bits == 4 && channels <= 2 && block > 7 * channels => bits,
            IMA_ADPCM if bits == 4 && channels <= 2 && block > 4 * channels => bits,
            PCM | FLOAT | MS_ADPCM | IMA_ADPCM => {
                return Err(damaged(format!(
                    "its header makes no sense: {channels} channels of {bits} bits in blocks of \
                     {block} bytes"
                )));
            }
            _ => {
                let name = NAMED.iter().find(|(known, _)| *known == kind);
                let what = name.map_or_else(
                    || format!("WAV of the kind 0x{kind:04x}"),
                    |(_, name)| (*name).to_owned(),
                );
                return Err(Error::Unsupported {
                    file: given.to_owned(),
                    what,
                    remedy: front::CONVERT.into(),
                });
            }
        };
        let block = match kind {
            MS_ADPCM | IMA_ADPCM => block,
            _ => channels * (bits / 8),
        };
        debug_assert!(usize::from(channels) <= MOST_CHANNELS);
        Ok(Self {
            kind,
            channels,
            rate,
            block,
            bits,
        })
    }

    /// Samples a second.
    pub fn rate(&self) -> u32 {
        self.rate
    }

    /// Samples of each channel in one block.
    pub fn frames_per_block(&self) -> u64 {
        let (block, channels) = (u64::from(self.block), u64::from(self.channels));
        match self.kind {
            MS_ADPCM => (block - 7 * channels) * 2 / channels + 2,
            IMA_ADPCM => (block - 4 * channels) * 2 / channels + 1,
            _ => 1,
        }
    }

    /// Samples of each channel in so many bytes.
    pub fn frames(&self, bytes: u64) -> u64 {
        (bytes / u64::from(self.block)).saturating_mul(self.frames_per_block())
    }

    /// A header in the plainest form, up to the first sample. Sizes that do not fit are written
    /// as unknown, as programs do that write to a pipe.
    pub fn plain_header(&self, data_bytes: u64) -> Vec<u8> {
        let extra = match self.kind {
            MS_ADPCM => vec![0; 32],
            IMA_ADPCM => (self.frames_per_block() as u16).to_le_bytes().to_vec(),
            _ => Vec::new(),
        };
        let mut format = Vec::new();
        format.extend(self.kind.to_le_bytes());
        format.extend(self.channels.to_le_bytes());
        format.extend(self.rate.to_le_bytes());
        format.extend(self.rate.wrapping_mul(u32::from(self.block)).to_le_bytes());
        format.extend(self.block.to_le_bytes());
        format.extend(self.bits.to_le_bytes());
        format.extend((extra.len() as u16).to_le_bytes());
        format.extend(extra);
        let mut head = b"RIFF\xff\xff\xff\xffWAVEfmt ".to_vec();
        head.extend((format.len() as u32).to_le_bytes());
        head.extend(format);
        head.extend(b"data");
        head.extend(u32::try_from(data_bytes).unwrap_or(u32::MAX).to_le_bytes());
        head
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn format(kind: u16, channels: u16, rate: u32, block: u16, bits: u16) -> Result<Format> {
        let mut bytes = Vec::new();
        bytes.extend(kind.to_le_bytes());
        bytes.extend(channels.to_le_bytes());
        bytes.extend(rate.to_le_bytes());
        bytes.extend([0; 4]);
        bytes.extend(block.to_le_bytes());
        bytes.extend(bits.to_le_bytes());
        Format::read(&bytes, "tape.wav")
    }

    #[test]
    fn twelve_bits_are_read_in_their_container() {
        let twelve = format(PCM, 2, 8_000, 4, 12).expect("12 bits");
        assert_eq!((twelve.bits, twelve.frames(400)), (16, 100));
    }

    #[test]
    fn blocks_of_adpcm_hold_their_samples() {
        // Microsoft's own figures for mono blocks of 256 bytes (from memory).
        let ima = format(IMA_ADPCM, 1, 8_000, 256, 4).expect("IMA");
        let ms = format(MS_ADPCM, 1, 8_000, 256, 4).expect("MS");
        assert_eq!((ima.frames_per_block(), ms.frames_per_block()), (505, 500));
    }

    #[test]
    fn damaged_numbers_and_unknown_kinds_are_named() {
        for (made, word) in [
            (format(PCM, 0, 8_000, 2, 16), "0 channels"),
            (format(PCM, 65_535, 8_000, 2, 16), "65535 channels"),
            (format(PCM, 1, 0, 2, 16), "0 Hz"),
            (format(PCM, 1, u32::MAX, 2, 16), "4294967295 Hz"),
            (format(PCM, 1, 8_000, 0, 0), "makes no sense"),
            (format(IMA_ADPCM, 2, 8_000, 8, 4), "makes no sense"),
            (format(0x31, 1, 8_000, 65, 0), "GSM"),
            (format(0x1234, 1, 8_000, 1, 8), "0x1234"),
            (Format::read(&[1, 0, 1], "tape.wav"), "cut short"),
        ] {
            let line = made.expect_err(word).to_string();
            assert!(line.contains("tape.wav") && line.contains(word), "{line}");
        }
    }
}
