//! One source's packets, decoded one by one and put on the clock; damage is noted, not fatal.

use super::clock::Clock;
use super::damage::DamageList;
use super::delay;
use super::first::{FirstPacket, guarded, make_codec, pick_track, stamp_of};
use super::front::{self, Front};
use super::recording::{Damage, DamageKind};
use super::source::Source;
use crate::error::{Error, Result};
use crate::tuning::intake::{LENGTH_SLACK, MOST_ERRORS_IN_A_ROW};
use crate::units::{Instant, SampleRate, Seconds};
use std::io::ErrorKind;
use symphonia::core::codecs::audio::AudioDecoder;
use symphonia::core::errors::Error as Trouble;
use symphonia::core::formats::FormatReader;
use symphonia::core::packet::Packet;
use symphonia::core::units::TimeBase;

/// What comes next on the recording's clock.
pub(super) enum Piece {
    /// So many samples are missing; zeros stand for them.
    Missing(u64),
    /// Samples, in [`Decoder::planes`].
    Audio,
}

/// Decodes the default audio track of one source.
pub(super) struct Decoder {
    given: String,
    reader: Box<dyn FormatReader>,
    codec: Box<dyn AudioDecoder>,
    track: u32,
    tick: TimeBase,
    stage: Stage,
    clock: Clock,
    planes: Vec<Vec<f32>>,
    damage: DamageList,
    /// A packet did not decode; what is missing before the next one is its loss.
    bad_packets: u32,
    errors_in_a_row: u32,
    /// What the container told before the first packet.
    pub front: Front,
    /// Short name of the codec.
    pub codec_name: &'static str,
    /// Rate of the decoded samples.
    pub rate: SampleRate,
    /// Length by the header.
    pub expected: Option<u64>,
}

#[derive(Clone, Copy, PartialEq)]
enum Stage {
    /// Planes hold samples that were not handed out.
    Loaded,
    Hungry,
    Ended,
}

impl Decoder {
    /// Opens the source and decodes up to its first samples, which tell the true rate.
    pub fn open(source: &Source) -> Result<Self> {
        let (mut reader, mut front) = front::open(source)?;
        let track = pick_track(&mut reader, &source.given)?;
        let (codec, codec_name) = make_codec(&track, &front, &source.given)?;
        let given = source.given.clone();
        let tick = track.time_base.unwrap_or_default();
        let mut first = FirstPacket {
            reader,
            codec,
            track: track.id,
            stamp: None,
        };
        let mut planes = Vec::new();
        let (packet, rate) = first.decode(&mut planes, &given)?;
        let rate = front::sound_rate(rate, &given)?;
        front::sound_channels(planes.len(), &given)?;

        let tick_s = Seconds(f64::from(tick.numer.get()) / f64::from(tick.denom.get()));
        let first_frames = planes.first().map_or(0, Vec::len);
        let delay = delay::samples(&track, &front, rate, first_frames);
        let by_header = first.header_frames(&track, rate);
        let cut_delay = |all: u64| all.saturating_sub(delay.unwrap_or(0));
        let edited =
            by_header.and_then(|all| delay::edited_length(&front, rate, delay.unwrap_or(0), all));
        front.frames = front.frames.or(edited);
        let expected = front
            .frames
            .or(front.expected)
            .or(by_header.map(cut_delay))
            .filter(|all| *all > 0);
        let mut clock = Clock::new(rate, tick_s, delay, expected);
        clock.begin(stamp_of(first.stamp.unwrap_or(packet.pts.get()), tick));
        let mut decoder = Self {
            given,
            reader: first.reader,
            codec: first.codec,
            track: track.id,
            tick,
            stage: Stage::Hungry,
            clock,
            planes,
            damage: DamageList::default(),
            bad_packets: 0,
            errors_in_a_row: 0,
            front,
            codec_name,
            rate,
            expected,
        };
        decoder.place(&packet);
        Ok(decoder)
    }

    /// Channels of the file.
    pub fn channels(&self) -> usize {
        self.planes.len()
    }

    /// Samples of each channel, valid after [`Piece::Audio`].
    pub fn planes(&self) -> &[Vec<f32>] {
        &self.planes
    }

    /// Codec delay taken off.
    pub fn delay(&self) -> Seconds {
        self.rate.samples_to_seconds(self.clock.delay())
    }

    /// Length of what came so far.
    pub fn length(&self) -> Seconds {
        self.rate.samples_to_seconds(self.clock.position())
    }

    /// Damage so far.
    pub fn into_damage(self) -> DamageList {
        self.damage
    }

    /// The next piece, `None` at the end.
    pub fn next(&mut self) -> Result<Option<Piece>> {
        loop {
            if self.stage == Stage::Loaded {
                self.stage = Stage::Hungry;
                return Ok(Some(Piece::Audio));
            }
            if self.stage == Stage::Ended {
                return Ok(None);
            }
            let Some(packet) = self.next_packet()? else {
                self.end();
                continue;
            };
            if !self.decode(&packet) {
                continue;
            }
            let missing = self.place(&packet);
            if missing > 0 {
                return Ok(Some(Piece::Missing(missing)));
            }
        }
    }

    /// Reads on to the next packet of our track; `None` where nothing more can be read.
    fn next_packet(&mut self) -> Result<Option<Packet>> {
        loop {
            match guarded(|| self.reader.next_packet()) {
                Ok(Some(packet)) if packet.track_id == self.track => {
                    self.errors_in_a_row = 0;
                    return Ok(Some(packet));
                }
                Ok(Some(_)) => {}
                Ok(None) => return Ok(None),
                Err(Trouble::ResetRequired) if self.follow_chain() => {}
                Err(Trouble::IoError(error)) if error.kind() == ErrorKind::UnexpectedEof => {
                    self.cut(DamageKind::Truncated);
                    return Ok(None);
                }
                Err(Trouble::IoError(source)) => return Err(Error::io(&self.given, source)),
                Err(Trouble::DecodeError(_)) if self.errors_in_a_row < MOST_ERRORS_IN_A_ROW => {
                    self.errors_in_a_row += 1;
                    self.bad_packets += 1;
                }
                Err(_) => {
                    self.cut(DamageKind::Truncated);
                    return Ok(None);
                }
            }
        }
    }

    /// Decodes into the planes; `false` where the packet is bad.
    fn decode(&mut self, packet: &Packet) -> bool {
        match guarded(|| self.codec.decode(packet)) {
            Ok(samples)
                if samples.spec().rate() == self.rate.hz()
                    && samples.num_planes() == self.planes.len() =>
            {
                samples.copy_to_vecs_planar(&mut self.planes);
                return true;
            }
            // Decoders read from memory, so even their I/O errors mean bad data.
            _ => {}
        }
        self.bad_packets += 1;
        false
    }

    /// Puts the decoded samples on the clock and cuts what lies outside the recording.
    fn place(&mut self, packet: &Packet) -> u64 {
        let frames = self.planes.first().map_or(0, Vec::len);
        let at = self.clock.position();
        let place = self
            .clock
            .place(stamp_of(packet.pts.get(), self.tick), frames);
        if self.bad_packets > 0 || place.missing > 0 {
            let kind = if self.bad_packets > 0 {
                DamageKind::BadPacket
            } else {
                DamageKind::MissingTime
            };
            self.note(at, place.missing, kind);
            self.bad_packets = 0;
        }
        let keep_to = frames.saturating_sub(self.surplus(packet));
        for plane in &mut self.planes {
            plane.truncate(keep_to);
            plane.drain(..(place.drop_front as usize).min(keep_to));
        }
        if !self.planes.first().is_none_or(Vec::is_empty) {
            self.stage = Stage::Loaded;
        }
        place.missing
    }

    /// Samples at the packet's end that are padding.
    fn surplus(&self, packet: &Packet) -> usize {
        let trimmed = stamp_of(packet.trim_end.get() as i64, self.tick);
        let trimmed = self.rate.seconds_to_samples(trimmed);
        let beyond = self
            .front
            .frames
            .map_or(0, |end| self.clock.position().saturating_sub(end));
        trimmed.max(beyond) as usize
    }

    /// A chained stream begins: its own codec, its own time from zero. Or the same one goes on
    /// behind a hole, by the same time.
    fn follow_chain(&mut self) -> bool {
        let Ok(track) = pick_track(&mut self.reader, &self.given) else {
            return false;
        };
        if track.id == self.track {
            self.codec.reset();
            return true;
        }
        let Ok((codec, _)) = make_codec(&track, &self.front, &self.given) else {
            return false;
        };
        let params = codec.codec_params();
        let same_rate = params.sample_rate == Some(self.rate.hz());
        let same_channels = params
            .channels
            .as_ref()
            .is_some_and(|channels| channels.count() == self.planes.len());
        if !(same_rate && same_channels) {
            return false;
        }
        self.clock
            .rebase(delay::samples(&track, &self.front, self.rate, 0).unwrap_or(0));
        self.tick = track.time_base.unwrap_or_default();
        self.track = track.id;
        self.codec = codec;
        true
    }

    fn end(&mut self) {
        self.stage = Stage::Ended;
        if self.bad_packets > 0 {
            self.note(self.clock.position(), 0, DamageKind::BadPacket);
        }
        if self.front.unfinished {
            self.note(self.clock.position(), 0, DamageKind::Truncated);
        }
        let short = self
            .expected
            .map_or(0, |all| all.saturating_sub(self.clock.position()));
        let short = self.rate.samples_to_seconds(short);
        if self.front.cut && short.0 > 0.0 {
            self.cut(DamageKind::Truncated);
        } else if short.0 > LENGTH_SLACK.0 && !self.front.estimated {
            self.cut(DamageKind::ShortLength);
        }
    }

    /// Notes once that the end is missing.
    fn cut(&mut self, kind: DamageKind) {
        let at = self.clock.position();
        let lost = self.expected.map_or(0, |all| all.saturating_sub(at));
        self.expected = None;
        self.note(at, lost, kind);
    }

    fn note(&mut self, at: u64, lost: u64, kind: DamageKind) {
        self.damage.note(Damage {
            at: Instant(self.rate.samples_to_seconds(at).0),
            lost: self.rate.samples_to_seconds(lost),
            kind,
        });
    }
}
