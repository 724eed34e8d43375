//! One decoder's pieces as blocks of the chosen channel, zeros where audio is missing, every
//! sample through the gate.

use super::damage::DamageList;
use super::decode::{Decoder, Piece};
use super::gate::Gate;
use super::recording::{ChannelChoice, Damage};
use crate::error::Result;
use crate::tuning::intake::ZERO_BLOCK_SAMPLES;
use crate::units::{Instant, SampleRate};

/// Blocks from one decoder.
pub(super) struct Feed {
    /// Where the packets come from.
    pub decoder: Decoder,
    choice: ChannelChoice,
    not_numbers: DamageList,
    handed_out: u64,
    zeros: u64,
    block: Vec<f32>,
}

impl Feed {
    /// Nothing handed out yet.
    pub fn new(decoder: Decoder, choice: ChannelChoice) -> Self {
        let not_numbers = DamageList::default();
        Self {
            decoder,
            choice,
            not_numbers,
            handed_out: 0,
            zeros: 0,
            block: Vec::new(),
        }
    }

    /// Rate of the samples.
    pub fn rate(&self) -> SampleRate {
        self.decoder.rate
    }

    /// Samples handed out so far, the last block included.
    pub fn handed_out(&self) -> u64 {
        self.handed_out
    }

    /// The last block.
    pub fn block(&self) -> &[f32] {
        &self.block
    }

    /// Fills the block; `false` at the end.
    pub fn fill(&mut self, gate: &mut Gate) -> Result<bool> {
        if self.zeros == 0 {
            match self.decoder.next()? {
                None => return Ok(false),
                Some(Piece::Missing(samples)) => self.zeros = samples,
                Some(Piece::Audio) => {
                    mix(self.decoder.planes(), self.choice, &mut self.block);
                    let start = Instant(self.rate().samples_to_seconds(self.handed_out).0);
                    gate.pass(
                        &mut self.block,
                        start,
                        self.decoder.rate,
                        &mut self.not_numbers,
                    );
                    self.handed_out += self.block.len() as u64;
                    return Ok(true);
                }
            }
        }
        let some = self.zeros.min(ZERO_BLOCK_SAMPLES as u64);
        self.zeros -= some;
        self.block.clear();
        self.block.resize(some as usize, 0.0);
        self.handed_out += some;
        Ok(true)
    }

    /// All damage, in the order of time.
    pub fn into_damage(self) -> Vec<Damage> {
        let mut damage = self.decoder.into_damage().take();
        damage.extend(self.not_numbers.take());
        damage.sort_by(|a, b| a.at.total_cmp(&b.at));
        damage
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
