//! Opus for symphonia, which reads its containers but has no decoder: an adapter over
//! `rusty-opus`. Always 48 kHz. The pre-skip is *not* cut here but by the clock, which treats
//! every codec's delay alike.
//!
//! Mono streams agree with libopus to the last bit or within two 16-bit steps (see the tests). In
//! stereo streams at speech bit rates version 1.0.2 was seen to differ for a tenth of a second
//! here and there, by up to -17 dBFS, where the encoder changes its mode; times do not suffer.

use rusty_opus::OpusDecoder;
use rusty_opus::multistream::OpusMSDecoder;
use symphonia::core as symphonia_core;
use symphonia_core::audio::{
    AsGenericAudioBufferRef, AudioBuffer, AudioMut, AudioSpec, Channels, GenericAudioBufferRef,
    Position,
};
use symphonia_core::codecs::CodecInfo;
use symphonia_core::codecs::audio::well_known::CODEC_ID_OPUS;
use symphonia_core::codecs::audio::{
    AudioCodecParameters, AudioDecoder, AudioDecoderOptions, FinalizeResult,
};
use symphonia_core::codecs::registry::{RegisterableAudioDecoder, SupportedAudioCodec};
use symphonia_core::errors::{Result, decode_error, unsupported_error};
use symphonia_core::packet::PacketRef;
use symphonia_core::support_audio_codec;

/// Opus decodes at this rate whatever the encoder's input was (RFC 7845 section 5.1).
pub(super) const OPUS_RATE_HZ: u32 = 48_000;

/// Longest packet: 120 ms (RFC 6716 section 3.2.5).
const LONGEST_PACKET_FRAMES: usize = 5_760;

/// The identification header (RFC 7845 section 5.1, and `dOps` of Opus in MP4).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct OpusHead {
    /// Channels out.
    pub channels: u8,
    /// Samples at 48 kHz to drop at the start.
    pub pre_skip: u16,
    /// Gain to apply, as a factor of amplitude.
    pub gain: f32,
    /// How streams map to channels.
    pub family: u8,
}

impl OpusHead {
    /// Reads `OpusHead` and what follows. In MP4 the version is 0 and the numbers are
    /// big-endian, elsewhere it is 1 and they are little-endian.
    pub fn read(bytes: &[u8]) -> Option<Self> {
        let rest = bytes.strip_prefix(b"OpusHead")?;
        let [
            version,
            channels,
            skip0,
            skip1,
            _,
            _,
            _,
            _,
            gain0,
            gain1,
            family,
            ..,
        ] = *rest
        else {
            return None;
        };
        let (pre_skip, gain) = if version == 0 {
            (
                u16::from_be_bytes([skip0, skip1]),
                i16::from_be_bytes([gain0, gain1]),
            )
        } else {
            (
                u16::from_le_bytes([skip0, skip1]),
                i16::from_le_bytes([gain0, gain1]),
            )
        };
        // Q7.8 dB to a factor of amplitude: 10^(gain / (20 * 256)).
        let gain = 10f32.powf(f32::from(gain) / 5_120.0);
        Some(Self {
            channels,
            pre_skip,
            gain,
            family,
        })
    }
}

enum Engine {
    Plain(Box<OpusDecoder>),
    Surround(Box<OpusMSDecoder>),
}

impl Engine {
    fn new(head: OpusHead) -> Result<Self> {
        let made = match (head.family, usize::from(head.channels)) {
            (0, channels @ 1..=2) => OpusDecoder::new(OPUS_RATE_HZ as i32, channels)
                .map(|engine| Self::Plain(Box::new(engine))),
            (1, channels @ 1..=8) => OpusMSDecoder::new(OPUS_RATE_HZ as i32, channels, 1)
                .map(|engine| Self::Surround(Box::new(engine))),
            _ => return unsupported_error("opus: channel mapping"),
        };
        made.or_else(|_| unsupported_error("opus: channel mapping"))
    }

    fn decode(&mut self, packet: &[u8], out: &mut [f32]) -> Result<usize> {
        match self {
            Self::Plain(engine) => engine.decode(packet, LONGEST_PACKET_FRAMES, out),
            Self::Surround(engine) => engine.decode(packet, LONGEST_PACKET_FRAMES, out),
        }
        .or_else(|error| decode_error(error.message()))
    }
}

/// The adapter.
pub(super) struct Opus {
    params: AudioCodecParameters,
    head: OpusHead,
    engine: Engine,
    interleaved: Vec<f32>,
    planar: AudioBuffer<f32>,
}

impl Opus {
    fn new(params: &AudioCodecParameters) -> Result<Self> {
        let head = match params.extra_data.as_deref().map(OpusHead::read) {
            Some(Some(head)) => head,
            Some(None) => return decode_error("opus: identification header"),
            None => return decode_error("opus: no identification header"),
        };
        let engine = Engine::new(head)?;
        let Some(positions) = Position::from_count(u32::from(head.channels)) else {
            return unsupported_error("opus: channel count");
        };
        let channels = Channels::Positioned(positions);
        let mut params = params.clone();
        params
            .with_sample_rate(OPUS_RATE_HZ)
            .with_channels(channels.clone());
        Ok(Self {
            params,
            head,
            engine,
            interleaved: vec![0.0; LONGEST_PACKET_FRAMES * usize::from(head.channels)],
            planar: AudioBuffer::new(
                AudioSpec::new(OPUS_RATE_HZ, channels),
                LONGEST_PACKET_FRAMES,
            ),
        })
    }
}

impl AudioDecoder for Opus {
    fn reset(&mut self) {
        if let Ok(engine) = Engine::new(self.head) {
            self.engine = engine;
        }
    }

    fn codec_info(&self) -> &CodecInfo {
        &Self::supported_codecs()[0].info
    }

    fn codec_params(&self) -> &AudioCodecParameters {
        &self.params
    }

    fn decode_ref(&mut self, packet: &PacketRef<'_>) -> Result<GenericAudioBufferRef<'_>> {
        self.planar.clear();
        if packet.data.is_empty() {
            return decode_error("opus: empty packet");
        }
        let frames = self.engine.decode(packet.data, &mut self.interleaved)?;
        let samples = &mut self.interleaved[..frames * usize::from(self.head.channels)];
        if self.head.gain != 1.0 {
            samples
                .iter_mut()
                .for_each(|sample| *sample *= self.head.gain);
        }
        self.planar.render_uninit(Some(frames));
        self.planar.copy_from_slice_interleaved(&&*samples);
        Ok(self.planar.as_generic_audio_buffer_ref())
    }

    fn finalize(&mut self) -> FinalizeResult {
        FinalizeResult::default()
    }

    fn last_decoded(&self) -> GenericAudioBufferRef<'_> {
        self.planar.as_generic_audio_buffer_ref()
    }
}

impl RegisterableAudioDecoder for Opus {
    fn try_registry_new(
        params: &AudioCodecParameters,
        _options: &AudioDecoderOptions,
    ) -> Result<Box<dyn AudioDecoder>> {
        Ok(Box::new(Self::new(params)?))
    }

    fn supported_codecs() -> &'static [SupportedAudioCodec] {
        &[support_audio_codec!(CODEC_ID_OPUS, "opus", "Opus")]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn head(version: u8, numbers: [u8; 8]) -> Vec<u8> {
        let mut bytes = b"OpusHead".to_vec();
        bytes.extend([version, 2]);
        bytes.extend(numbers);
        bytes.push(0);
        bytes
    }

    #[test]
    fn pre_skip_is_little_endian_in_ogg_and_big_endian_in_mp4() {
        let ogg = OpusHead::read(&head(1, [0x38, 0x01, 0x80, 0xbb, 0, 0, 0, 0]));
        let mp4 = OpusHead::read(&head(0, [0x01, 0x38, 0, 0, 0xbb, 0x80, 0, 0]));
        assert_eq!(ogg.map(|head| head.pre_skip), Some(312));
        assert_eq!(mp4.map(|head| head.pre_skip), Some(312));
    }

    #[test]
    fn a_gain_of_six_decibels_is_a_factor_of_two() {
        let bytes = head(1, [0, 0, 0, 0, 0, 0, 0x05, 0x06]);
        let gain = OpusHead::read(&bytes).expect("header").gain;
        assert!((gain - 2.0).abs() < 1e-3, "{gain}");
    }

    #[test]
    fn a_cut_header_is_refused() {
        assert_eq!(OpusHead::read(b"OpusHead\x01\x02"), None);
        assert_eq!(
            OpusHead::read(b"OpusTags\x01\x02\x00\x00\x00\x00\x00\x00\x00\x00\x00"),
            None
        );
    }
}
