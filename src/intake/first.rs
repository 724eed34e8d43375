//! The way to the first packet that decodes, and the guard around everything that symphonia does
//! with damaged data.

use super::front::{self, Front};
use super::registry;
use crate::error::{Error, Result};
use crate::tuning::intake::MOST_ERRORS_IN_A_ROW;
use crate::units::{SampleRate, Seconds};
use std::io::ErrorKind;
use symphonia::core::codecs::audio::{AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error as Trouble;
use symphonia::core::formats::{FormatReader, Track, TrackType};
use symphonia::core::packet::Packet;
use symphonia::core::units::TimeBase;

/// Looks for the first packet that decodes.
pub(super) struct FirstPacket {
    pub reader: Box<dyn FormatReader>,
    pub codec: Box<dyn AudioDecoder>,
    pub track: u32,
    /// Stamp of the first packet, whether or not it decodes.
    pub stamp: Option<i64>,
}

impl FirstPacket {
    /// Samples by the header, delay and padding included; of the track, else of the whole.
    pub fn header_frames(&self, track: &Track, rate: SampleRate) -> Option<u64> {
        let whole = self.reader.media_info();
        let (length, tick) = match (track.duration, whole.duration) {
            (Some(length), _) => (length, track.time_base?),
            (None, length) => (length?, whole.time_base?),
        };
        let length = stamp_of(i64::try_from(length.get()).ok()?, tick);
        Some(rate.seconds_to_samples(length)).filter(|frames| *frames > 0)
    }

    /// Decodes it into `planes`; gives it, and the rate of its samples.
    pub fn decode(&mut self, planes: &mut Vec<Vec<f32>>, given: &str) -> Result<(Packet, u32)> {
        let mut bad = 0;
        while bad < MOST_ERRORS_IN_A_ROW {
            let packet = match guarded(|| self.reader.next_packet()) {
                Ok(Some(packet)) if packet.track_id == self.track => packet,
                Ok(Some(_)) => continue,
                Ok(None) => break,
                Err(Trouble::IoError(error)) if error.kind() != ErrorKind::UnexpectedEof => {
                    return Err(Error::io(given, error));
                }
                Err(Trouble::DecodeError(_)) => {
                    bad += 1;
                    continue;
                }
                Err(_) => break,
            };
            self.stamp.get_or_insert(packet.pts.get());
            match guarded(|| self.codec.decode(&packet)) {
                Ok(samples) => {
                    let rate = samples.spec().rate();
                    samples.copy_to_vecs_planar(planes);
                    return Ok((packet, rate));
                }
                Err(_) => bad += 1,
            }
        }
        Err(Error::BadFile {
            file: given.to_owned(),
            what: "the header is that of a recording, but no sound follows it".into(),
            remedy: front::RECORD_AGAIN.into(),
        })
    }
}

/// Damaged data must not stop the program, whatever the decoder makes of it: a panic in there
/// counts as a bad packet.
pub(super) fn guarded<T>(
    work: impl FnOnce() -> symphonia::core::errors::Result<T>,
) -> symphonia::core::errors::Result<T> {
    // What the panic left half done is decoder state, which a bad packet leaves so as well.
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(work))
        .unwrap_or(Err(Trouble::DecodeError("decoder panic")))
}

/// A stamp in seconds.
pub(super) fn stamp_of(ticks: i64, tick: TimeBase) -> Seconds {
    Seconds(ticks as f64 * f64::from(tick.numer.get()) / f64::from(tick.denom.get()))
}

/// The sound track.
pub(super) fn pick_track(reader: &mut Box<dyn FormatReader>, given: &str) -> Result<Track> {
    reader
        .default_track(TrackType::Audio)
        .cloned()
        .ok_or_else(|| Error::BadFile {
            file: given.to_owned(),
            what: "it holds no sound track".into(),
            remedy: "check the recording program's sound input".into(),
        })
}

/// Its decoder, and the codec's short name.
pub(super) fn make_codec(
    track: &Track,
    front: &Front,
    given: &str,
) -> Result<(Box<dyn AudioDecoder>, &'static str)> {
    let params = track
        .codec_params
        .as_ref()
        .and_then(|params| params.audio());
    let unsupported = || Error::Unsupported {
        file: given.to_owned(),
        what: front
            .codec_hint
            .clone()
            .unwrap_or_else(|| "its sound coding".into()),
        remedy: front::CONVERT.into(),
    };
    let params = params.ok_or_else(unsupported)?;
    let name = registry::codec_name(params.codec).ok_or_else(unsupported)?;
    // Delay and padding are cut by the clock, for all codecs alike.
    let options = AudioDecoderOptions::default().gapless(false);
    let codec = registry::codecs()
        .make_audio_decoder(params, &options)
        .map_err(|_| unsupported())?;
    Ok((codec, name))
}
