//! Which channel carries the radio. A look ahead through a second decoder gathers a few figures
//! of each channel, so that nothing need be buffered; it goes on while no channel sounds like a
//! radio yet.

mod ear;
mod filter;

use super::decode::{Decoder, Piece};
use super::recording::ChannelChoice;
use super::source::Source;
use crate::error::Result;
use crate::tuning::intake::{
    LONGEST_LOOK, LOOK, SAME_CORRELATION, SAME_LEVEL, SILENT_BELOW, SILENT_BESIDE,
};
use crate::units::{SampleRate, Seconds};
use ear::Ear;

/// Decides for one source, or for several that one recorder made.
///
/// # Errors
/// A source cannot be opened or read.
pub(super) fn choose<'a>(sources: impl Iterator<Item = &'a Source>) -> Result<ChannelChoice> {
    let mut look: Option<Look> = None;
    let mut due = LOOK;
    for source in sources {
        let mut decoder = Decoder::open(source)?;
        let look = look.get_or_insert_with(|| Look::new(decoder.channels(), decoder.rate));
        while let Some(piece) = decoder.next()? {
            if matches!(piece, Piece::Audio) {
                look.listen(decoder.planes());
            }
            if look.heard().0 >= due.0 {
                if look.is_settled() || look.heard().0 >= LONGEST_LOOK.0 {
                    return Ok(look.choice());
                }
                due = due + LOOK;
            }
        }
    }
    Ok(look.map_or(ChannelChoice::Mono, |look| look.choice()))
}

/// What was heard of all channels so far.
pub(super) struct Look {
    ears: Vec<Ear>,
    /// Of each channel with the first: sum of products of the filtered samples.
    products: Vec<f64>,
    rate: SampleRate,
    samples: u64,
}

impl Look {
    /// Nothing heard yet.
    pub fn new(channels: usize, rate: SampleRate) -> Self {
        Self {
            ears: (0..channels).map(|_| Ear::new(rate)).collect(),
            products: vec![0.0; channels],
            rate,
            samples: 0,
        }
    }

    /// Takes the next samples of every channel.
    pub fn listen(&mut self, planes: &[Vec<f32>]) {
        for (ear, plane) in self.ears.iter_mut().zip(planes) {
            ear.listen(plane);
        }
        let Some((first, others)) = self.ears.split_first() else {
            return;
        };
        for (product, other) in self.products.iter_mut().skip(1).zip(others) {
            let pairs = first.band().iter().zip(other.band());
            *product += pairs
                .map(|(a, b)| f64::from(*a) * f64::from(*b))
                .sum::<f64>();
        }
        self.samples += planes.first().map_or(0, Vec::len) as u64;
    }

    fn heard(&self) -> Seconds {
        self.rate.samples_to_seconds(self.samples)
    }

    /// Whether some channel is surely a radio, or all are the same.
    fn is_settled(&self) -> bool {
        self.ears.iter().any(Ear::is_surely_radio) || self.all_alike().is_some()
    }

    /// The choice by what was heard.
    pub fn choice(&self) -> ChannelChoice {
        if self.ears.len() == 1 {
            return ChannelChoice::Mono;
        }
        match self.all_alike() {
            Some(true) => ChannelChoice::Mean,
            // Upside down: the mean would cancel.
            Some(false) => self.best(|ear| ear.loudness().0),
            None => {
                let loudest = self.ears.iter().map(|ear| ear.loudness().0);
                let loudest = loudest.fold(f64::NEG_INFINITY, f64::max);
                self.best(|ear| {
                    let level = ear.loudness().0;
                    let silent = level < SILENT_BELOW.0 || level < loudest - SILENT_BESIDE.0;
                    // Silent channels compete among themselves, behind all others.
                    if silent {
                        level - 1e6
                    } else {
                        ear.likeness(level - loudest)
                    }
                })
            }
        }
    }

    fn best(&self, worth: impl Fn(&Ear) -> f64) -> ChannelChoice {
        let mut best = (f64::NEG_INFINITY, 0);
        for (channel, ear) in self.ears.iter().enumerate() {
            let worth = worth(ear);
            if worth > best.0 {
                best = (worth, channel);
            }
        }
        ChannelChoice::Only(u16::try_from(best.1).unwrap_or(0))
    }

    /// `Some(true)` where all channels carry the same, `Some(false)` where one is another upside
    /// down and the rest the same.
    fn all_alike(&self) -> Option<bool> {
        let first = &self.ears[0];
        let mut upright = true;
        for (ear, product) in self.ears.iter().zip(&self.products).skip(1) {
            let power = (first.band_power() * ear.band_power()).sqrt();
            let correlation = product / power;
            let apart = (first.loudness() - ear.loudness()).0.abs();
            let alike = correlation.abs() >= SAME_CORRELATION && apart <= SAME_LEVEL.0;
            if !alike {
                return None;
            }
            upright &= correlation > 0.0;
        }
        Some(upright)
    }
}

#[cfg(test)]
mod tests;
