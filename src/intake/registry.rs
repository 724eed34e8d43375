//! Which decoders there are, and the short names of containers and codecs.

use super::opus::Opus;
use std::sync::LazyLock;
use symphonia::core::codecs::audio::{AudioCodecId, well_known as id};
use symphonia::core::codecs::registry::CodecRegistry;

static CODECS: LazyLock<CodecRegistry> = LazyLock::new(|| {
    let mut codecs = CodecRegistry::new();
    symphonia::default::register_enabled_codecs(&mut codecs);
    codecs.register_audio_decoder::<Opus>();
    codecs
});

/// Symphonia's decoders and Opus.
pub(super) fn codecs() -> &'static CodecRegistry {
    &CODECS
}

/// Short name of a codec, as general tools print it; `None` for one that has no decoder here.
pub(super) fn codec_name(codec: AudioCodecId) -> Option<&'static str> {
    const NAMES: &[(AudioCodecId, &str)] = &[
        (id::CODEC_ID_PCM_S32LE, "pcm_s32le"),
        (id::CODEC_ID_PCM_S32BE, "pcm_s32be"),
        (id::CODEC_ID_PCM_S24LE, "pcm_s24le"),
        (id::CODEC_ID_PCM_S24BE, "pcm_s24be"),
        (id::CODEC_ID_PCM_S16LE, "pcm_s16le"),
        (id::CODEC_ID_PCM_S16BE, "pcm_s16be"),
        (id::CODEC_ID_PCM_S8, "pcm_s8"),
        (id::CODEC_ID_PCM_U8, "pcm_u8"),
        (id::CODEC_ID_PCM_F32LE, "pcm_f32le"),
        (id::CODEC_ID_PCM_F32BE, "pcm_f32be"),
        (id::CODEC_ID_PCM_F64LE, "pcm_f64le"),
        (id::CODEC_ID_PCM_F64BE, "pcm_f64be"),
        (id::CODEC_ID_PCM_ALAW, "pcm_alaw"),
        (id::CODEC_ID_PCM_MULAW, "pcm_mulaw"),
        (id::CODEC_ID_ADPCM_MS, "adpcm_ms"),
        (id::CODEC_ID_ADPCM_IMA_WAV, "adpcm_ima_wav"),
        (id::CODEC_ID_ADPCM_IMA_QT, "adpcm_ima_qt"),
        (id::CODEC_ID_FLAC, "flac"),
        (id::CODEC_ID_ALAC, "alac"),
        (id::CODEC_ID_MP1, "mp1"),
        (id::CODEC_ID_MP2, "mp2"),
        (id::CODEC_ID_MP3, "mp3"),
        (id::CODEC_ID_AAC, "aac"),
        (id::CODEC_ID_VORBIS, "vorbis"),
        (id::CODEC_ID_OPUS, "opus"),
    ];
    NAMES
        .iter()
        .find(|(known, _)| *known == codec)
        .map(|(_, name)| *name)
}
