//! Frame headers of MPEG audio (ISO/IEC 11172-3, 13818-3, and its extension to lower rates) and
//! of AAC in ADTS (ISO/IEC 13818-7). Tables from memory, checked against encoded files.

use symphonia::core::audio::layouts::{CHANNEL_LAYOUT_MONO, CHANNEL_LAYOUT_STEREO};
use symphonia::core::codecs::audio::AudioCodecParameters;
use symphonia::core::codecs::audio::well_known::{
    CODEC_ID_AAC, CODEC_ID_MP1, CODEC_ID_MP2, CODEC_ID_MP3,
};

/// Bytes needed to read any header.
pub(super) const HEADER_BYTES: usize = 9;

/// Kinds of frames.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Family {
    Layer1,
    Layer2,
    Layer3,
    Adts,
}

/// One frame's header.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Header {
    pub family: Family,
    /// MPEG version, as coded; the decoder's state does not survive a change of it.
    version: u8,
    /// Rate in Hz.
    pub rate: u32,
    /// One or two.
    pub channels: u8,
    /// Whole frame, header included.
    pub bytes: usize,
    /// Samples of each channel.
    pub samples: u32,
    /// Bytes in front of the packet's data that the decoder does not want.
    pub skip: usize,
    /// Bits a second, where frames of one rate are all of one size.
    pub bit_rate: Option<u32>,
}

impl Header {
    /// Reads a header; `None` where the bytes are none.
    pub fn read(bytes: &[u8]) -> Option<Self> {
        let head: [u8; HEADER_BYTES] = *bytes.first_chunk()?;
        match head {
            [0xff, second, ..] if second & 0xf6 == 0xf0 => Self::adts(head),
            [0xff, second, ..] if second & 0xe0 == 0xe0 => Self::mpeg(head),
            _ => None,
        }
    }

    fn mpeg(head: [u8; HEADER_BYTES]) -> Option<Self> {
        const LAYER1: [u32; 14] = [
            32, 64, 96, 128, 160, 192, 224, 256, 288, 320, 352, 384, 416, 448,
        ];
        const LAYER2: [u32; 14] = [
            32, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320, 384,
        ];
        const LAYER3: [u32; 14] = [
            32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320,
        ];
        const LOW_LAYER1: [u32; 14] = [
            32, 48, 56, 64, 80, 96, 112, 128, 144, 160, 176, 192, 224, 256,
        ];
        const LOW: [u32; 14] = [8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160];

        let version = head[1] >> 3 & 3;
        let family = match head[1] >> 1 & 3 {
            1 => Family::Layer3,
            2 => Family::Layer2,
            3 => Family::Layer1,
            _ => return None,
        };
        let full = version == 3;
        let table = match (full, family) {
            (true, Family::Layer1) => &LAYER1,
            (true, Family::Layer2) => &LAYER2,
            (true, _) => &LAYER3,
            (false, Family::Layer1) => &LOW_LAYER1,
            (false, _) => &LOW,
        };
        // Index 0 is the free format, whose frames do not tell their size.
        let bit_rate = table.get(usize::from(head[2] >> 4).checked_sub(1)?)? * 1_000;
        let base: u32 = *[44_100, 48_000, 32_000].get(usize::from(head[2] >> 2 & 3))?;
        let rate = match version {
            3 => base,
            2 => base / 2,
            0 => base / 4,
            _ => return None,
        };
        let samples = match (family, full) {
            (Family::Layer1, _) => 384,
            (Family::Layer3, false) => 576,
            _ => 1_152,
        };
        let padding = u32::from(head[2] >> 1 & 1);
        let bytes = match family {
            Family::Layer1 => (12 * bit_rate / rate + padding) * 4,
            _ => samples / 8 * bit_rate / rate + padding,
        } as usize;
        let channels = if head[3] >> 6 == 3 { 1 } else { 2 };
        Some(Self {
            family,
            version,
            rate,
            channels,
            bytes,
            samples,
            skip: 0,
            bit_rate: Some(bit_rate),
        })
        .filter(|header| header.bytes > HEADER_BYTES)
    }

    fn adts(head: [u8; HEADER_BYTES]) -> Option<Self> {
        const RATES: [u32; 13] = [
            96_000, 88_200, 64_000, 48_000, 44_100, 32_000, 24_000, 22_050, 16_000, 12_000, 11_025,
            8_000, 7_350,
        ];
        let rate = *RATES.get(usize::from(head[2] >> 2 & 15))?;
        let channels = (head[2] & 1) << 2 | head[3] >> 6;
        let bytes =
            usize::from(head[3] & 3) << 11 | usize::from(head[4]) << 3 | usize::from(head[5] >> 5);
        let skip = if head[1] & 1 == 1 { 7 } else { 9 };
        let blocks = u32::from(head[6] & 3) + 1;
        ((1..=2).contains(&channels) && bytes > skip).then_some(Self {
            family: Family::Adts,
            version: head[1] >> 3 & 1,
            rate,
            channels,
            bytes,
            samples: 1_024 * blocks,
            skip,
            bit_rate: None,
        })
    }

    /// Whether both can be frames of one stream.
    pub fn same_stream(&self, other: &Self) -> bool {
        self.family == other.family
            && self.version == other.version
            && self.rate == other.rate
            && self.channels == other.channels
    }

    /// Bytes of side information after the four bytes of an MPEG layer 3 header.
    pub fn side_bytes(&self) -> usize {
        match (self.version == 3, self.channels) {
            (true, 1) => 17,
            (true, _) => 32,
            (false, 1) => 9,
            (false, _) => 17,
        }
    }

    /// Mean size of the stream's frames, where all have this one's bit rate.
    pub fn constant_bytes(&self) -> Option<f64> {
        let seconds = f64::from(self.samples) / f64::from(self.rate);
        self.bit_rate.map(|bits| f64::from(bits) / 8.0 * seconds)
    }

    /// Short name of the container.
    pub fn container(&self) -> &'static str {
        match self.family {
            Family::Layer1 => "mp1",
            Family::Layer2 => "mp2",
            Family::Layer3 => "mp3",
            Family::Adts => "adts",
        }
    }

    /// What the decoder wants to know.
    pub fn codec_parameters(&self) -> AudioCodecParameters {
        let mut parameters = AudioCodecParameters::new();
        let channels = if self.channels == 1 {
            CHANNEL_LAYOUT_MONO
        } else {
            CHANNEL_LAYOUT_STEREO
        };
        parameters
            .with_sample_rate(self.rate)
            .with_channels(channels)
            .for_codec(match self.family {
                Family::Layer1 => CODEC_ID_MP1,
                Family::Layer2 => CODEC_ID_MP2,
                Family::Layer3 => CODEC_ID_MP3,
                Family::Adts => CODEC_ID_AAC,
            });
        parameters
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(head: [u8; 4]) -> Option<Header> {
        let mut bytes = head.to_vec();
        bytes.resize(HEADER_BYTES, 0);
        Header::read(&bytes)
    }

    #[test]
    fn mpeg_headers_give_size_and_length() {
        // 128 kbit/s at 44.1 kHz: 417 bytes, 418 with padding; 64 kbit/s at 22.05 kHz: 208.
        let stereo = read([0xff, 0xfb, 0x90, 0x00]).expect("layer 3");
        assert_eq!(
            (stereo.bytes, stereo.samples, stereo.rate),
            (417, 1_152, 44_100)
        );
        let padded = read([0xff, 0xfb, 0x92, 0x00]).expect("padded");
        assert_eq!((padded.bytes, padded.channels), (418, 2));
        let low = read([0xff, 0xf3, 0x80, 0xc0]).expect("low rate");
        assert_eq!(
            (low.bytes, low.samples, low.rate, low.channels),
            (208, 576, 22_050, 1)
        );
    }

    #[test]
    fn adts_headers_give_size_and_length() {
        // AAC-LC, 44.1 kHz, mono, 371 bytes, no checksum.
        let head = [0xff, 0xf1, 0x50, 0x40, 0x2e, 0x7f, 0xfc, 0, 0];
        let header = Header::read(&head).expect("ADTS");
        assert_eq!(
            (header.rate, header.channels, header.bytes),
            (44_100, 1, 371)
        );
        assert_eq!((header.samples, header.skip), (1_024, 7));
    }

    #[test]
    fn impossible_headers_are_none() {
        for head in [
            [0xff, 0xfb, 0xf0, 0x00],
            [0xff, 0xfb, 0x00, 0x00],
            [0xff, 0xfb, 0x9c, 0x00],
            [0xff, 0xeb, 0x90, 0x00],
            [0xff, 0xf9, 0x3c, 0x40],
            [0x00, 0xfb, 0x90, 0x00],
        ] {
            assert_eq!(read(head), None, "{head:02x?}");
        }
    }
}
