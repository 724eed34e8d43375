//! The codec's delay: samples that an encoder puts before the sound. Taking them off puts every
//! event at its time in the original sound.

use super::front::Front;
use super::opus::OpusHead;
use crate::tuning::intake::AAC_DELAY_SAMPLES;
use crate::units::SampleRate;
use symphonia::core::codecs::audio::well_known::{CODEC_ID_AAC, CODEC_ID_OPUS, CODEC_ID_VORBIS};
use symphonia::core::formats::Track;

/// Samples to take off at the front; `None` where only the stamps can tell.
///
/// `first_packet` is the number of samples that the first packet gave.
pub(super) fn samples(
    track: &Track,
    front: &Front,
    rate: SampleRate,
    first_packet: usize,
) -> Option<u64> {
    let parameters = track.codec_params.as_ref()?.audio()?;
    let edit = front.edit.map(|(start, _)| rate.seconds_to_samples(start));
    let told = front.delay.or_else(|| track.delay.map(u64::from));
    match parameters.codec {
        CODEC_ID_OPUS => {
            let head = OpusHead::read(parameters.extra_data.as_deref()?)?;
            Some(u64::from(head.pre_skip))
        }
        // An edit list that hides nothing does not undo the transform's own lag.
        CODEC_ID_AAC => told.or(edit.filter(|d| *d > 0)).or(Some(AAC_DELAY_SAMPLES)),
        // Vorbis' first packet only primes the decoder. Ogg says so by stamps below zero,
        // Matroska does not.
        CODEC_ID_VORBIS if matches!(front.container, "webm" | "matroska") => {
            Some(first_packet as u64)
        }
        _ => told.or(edit),
    }
}

/// Samples on the recording's clock by an edit list, where what it hides behind the sound is no
/// more than an encoder's padding.
pub(super) fn edited_length(front: &Front, rate: SampleRate, delay: u64, all: u64) -> Option<u64> {
    const MOST_PADDING_SAMPLES: u64 = 4 * 1_024;
    let shown = rate.seconds_to_samples(front.edit?.1);
    let hidden = all.checked_sub(delay)?.checked_sub(shown)?;
    (shown > 0 && hidden <= MOST_PADDING_SAMPLES).then_some(shown)
}
