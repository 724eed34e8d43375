//! A recording from one source.

use super::decode::{Decoder, Piece};
use super::digest::Digest;
use super::gate::Gate;
use super::recording::{Block, ChannelChoice, Recording, RecordingInfo};
use super::source::Source;
use super::start;
use crate::error::Result;
use crate::tuning::intake::ZERO_BLOCK_SAMPLES;
use crate::units::{Instant, SampleRate, Seconds};

/// One file or stream.
pub(super) struct Single {
    /// Kept because a spooled stream's temporary file goes with it.
    source: Source,
    digest: Digest,
    decoder: Decoder,
    choice: ChannelChoice,
    gate: Gate,
    not_numbers: super::damage::DamageList,
    started_at: Option<String>,
    /// Samples handed out so far.
    handed_out: u64,
    /// Zeros still to be handed out for what is missing.
    zeros: u64,
    block: Vec<f32>,
}

impl Single {
    /// Opens a source whose digest is under way.
    pub fn open(source: Source, digest: Digest) -> Result<Self> {
        let decoder = Decoder::open(&source)?;
        let choice = if decoder.channels() == 1 {
            ChannelChoice::Mono
        } else {
            ChannelChoice::Mean
        };
        let named = || start::find(&source.name);
        let by_header = decoder.front.started;
        let started = match by_header.filter(|_| decoder.front.started_is_sure) {
            Some(sure) => Some(sure),
            None => named().or(by_header),
        };
        let started_at = started.map(|moment| moment.rfc3339());
        Ok(Self {
            source,
            digest,
            decoder,
            choice,
            gate: Gate::default(),
            not_numbers: super::damage::DamageList::default(),
            started_at,
            handed_out: 0,
            zeros: 0,
            block: Vec::new(),
        })
    }

    fn now(&self) -> Instant {
        Instant(self.decoder.rate.samples_to_seconds(self.handed_out).0)
    }

    /// Fills the block; `false` at the end.
    fn fill(&mut self) -> Result<bool> {
        if self.zeros == 0 {
            match self.decoder.next()? {
                None => return Ok(false),
                Some(Piece::Missing(samples)) => self.zeros = samples,
                Some(Piece::Audio) => {
                    mix(self.decoder.planes(), self.choice, &mut self.block);
                    let (start, rate) = (self.now(), self.decoder.rate);
                    self.gate
                        .pass(&mut self.block, start, rate, &mut self.not_numbers);
                    return Ok(true);
                }
            }
        }
        let some = self.zeros.min(ZERO_BLOCK_SAMPLES as u64);
        self.zeros -= some;
        self.block.clear();
        self.block.resize(some as usize, 0.0);
        Ok(true)
    }
}

impl Recording for Single {
    fn rate(&self) -> SampleRate {
        self.decoder.rate
    }

    fn expected_duration(&self) -> Option<Seconds> {
        self.decoder
            .expected
            .map(|frames| self.decoder.rate.samples_to_seconds(frames))
    }

    fn next_block(&mut self) -> Result<Option<Block<'_>>> {
        if !self.fill()? {
            return Ok(None);
        }
        let start = self.now();
        self.handed_out += self.block.len() as u64;
        Ok(Some(Block {
            start,
            samples: &self.block,
        }))
    }

    fn finish(self: Box<Self>) -> Result<RecordingInfo> {
        let duration = self.decoder.rate.samples_to_seconds(self.handed_out);
        self.gate.judge(duration, &self.source.given)?;
        let sha256 = self.digest.join(&self.source.given)?;
        let (container, codec) = (self.decoder.front.container, self.decoder.codec_name);
        let (sample_rate, delay_removed) = (self.decoder.rate, self.decoder.delay());
        let channels = self.decoder.channels() as u16;
        let mut damage = self.decoder.into_damage().take();
        damage.extend(self.not_numbers.take());
        damage.sort_by(|a, b| a.at.total_cmp(&b.at));
        Ok(RecordingInfo {
            name: self.source.name.clone(),
            sha256,
            duration,
            sample_rate,
            channels,
            container: container.into(),
            codec: codec.into(),
            started_at: self.started_at,
            channel_choice: self.choice,
            damage,
            clips: None,
            delay_removed,
        })
    }
}

/// One channel out of many.
fn mix(planes: &[Vec<f32>], choice: ChannelChoice, out: &mut Vec<f32>) {
    out.clear();
    match choice {
        ChannelChoice::Only(channel) => {
            let channel = usize::from(channel).min(planes.len().saturating_sub(1));
            out.extend_from_slice(planes.get(channel).map_or(&[], Vec::as_slice));
        }
        ChannelChoice::Mono | ChannelChoice::Mean => {
            let Some((first, others)) = planes.split_first() else {
                return;
            };
            out.extend_from_slice(first);
            if others.is_empty() {
                return;
            }
            for plane in others {
                out.iter_mut()
                    .zip(plane)
                    .for_each(|(sum, sample)| *sum += sample);
            }
            let share = 1.0 / planes.len() as f32;
            out.iter_mut().for_each(|sum| *sum *= share);
        }
    }
}
