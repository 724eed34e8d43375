//! Takes off the constant that many a sound card adds: unheard, but in a quiet moment it is louder than
//! all that is to be told apart there.

use super::lanes;
use crate::tuning::acoustics::{
    OFFSET_CHUNK_S, OFFSET_DEVIATIONS, OFFSET_LEAST, OFFSET_MEMORY_S, OFFSET_PRIMED_S,
};

/// The constant, learnt as the sound goes by. A chunk's mean counts by how quiet the chunk is about it:
/// noise and voices move the mean of a tenth of a second, silence does not.
#[derive(Debug, Clone, PartialEq)]
pub struct Offset {
    chunk: usize,
    primed_after: usize,
    keep: f64,
    weighted: f64,
    weight: f64,
    primed: bool,
}

impl Offset {
    /// For sound at `rate_hz`.
    #[must_use]
    pub fn new(rate_hz: f64) -> Self {
        let chunk = (OFFSET_CHUNK_S * rate_hz).round().max(1.0) as usize;
        Self {
            chunk,
            primed_after: chunk * (OFFSET_PRIMED_S / OFFSET_CHUNK_S).round() as usize,
            keep: (-OFFSET_CHUNK_S / OFFSET_MEMORY_S).exp(),
            weighted: 0.0,
            weight: 0.0,
            primed: false,
        }
    }

    /// Corrects what of `sound` makes whole chunks, and says how many samples that are. Nothing is
    /// before the first seconds are together.
    pub fn run(&mut self, sound: &mut [f32]) -> usize {
        if !self.primed && sound.len() < self.primed_after {
            return 0;
        }
        let whole = sound.len() / self.chunk * self.chunk;
        self.correct(&mut sound[..whole]);
        whole
    }

    /// Corrects all that is left of `sound`.
    pub fn finish(&mut self, sound: &mut [f32]) {
        self.correct(sound);
    }

    fn correct(&mut self, sound: &mut [f32]) {
        let mut from = 0;
        if !self.primed {
            // The first seconds together, lest they are corrected by less than they tell.
            from = self.primed_after.min(sound.len());
            let (first, _) = sound.split_at_mut(from);
            first.chunks(self.chunk).for_each(|chunk| self.learn(chunk));
            self.subtract(first);
            self.primed = true;
        }
        for chunk in sound[from..].chunks_mut(self.chunk) {
            self.learn(chunk);
            self.subtract(chunk);
        }
    }

    fn learn(&mut self, chunk: &[f32]) {
        let count = chunk.len() as f64;
        let mean = f64::from(lanes::sum(chunk)) / count;
        let square = f64::from(lanes::dot(chunk, chunk)) / count;
        let variance = (square - mean * mean).max(0.0);
        // A step of 16 bits is the least that a chunk can vary by and mean anything.
        let weight = count / (variance + f64::from(i16::MAX).powi(-2));
        self.weighted = self.weighted * self.keep + weight * mean;
        self.weight = self.weight * self.keep + weight;
    }

    fn subtract(&self, sound: &mut [f32]) {
        let mean = self.weighted / self.weight;
        let deviation = self.weight.powf(-0.5);
        // Sound without an offset stays as it is to the bit, and noise has none for its mean's sake.
        if mean.abs() > OFFSET_LEAST.max(OFFSET_DEVIATIONS * deviation) {
            sound.iter_mut().for_each(|x| *x -= mean as f32);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE_HZ: f64 = 8000.0;

    /// Loud for a second, all but silent for a second, by turns.
    fn sound(offset: f32) -> Vec<f32> {
        let loud = |i: usize| {
            if (i / 8000).is_multiple_of(2) {
                0.3
            } else {
                0.0005
            }
        };
        let wave = |i: usize| (i as f32 * 0.37).sin() + 0.5 * (i as f32 * 1.91).sin();
        (0..80_000).map(|i| loud(i) * wave(i) + offset).collect()
    }

    fn corrected(mut sound: Vec<f32>, part: usize) -> Vec<f32> {
        let mut offset = Offset::new(RATE_HZ);
        let (mut done, mut seen) = (0, 0);
        while seen < sound.len() {
            seen = (seen + part).min(sound.len());
            done += offset.run(&mut sound[done..seen]);
        }
        offset.finish(&mut sound[done..]);
        sound
    }

    #[test]
    fn a_constant_is_taken_off_however_the_sound_arrives() {
        let plain = sound(0.0);
        let all = corrected(sound(0.05), plain.len());
        for (i, (x, want)) in all.iter().zip(&plain).enumerate() {
            assert!(
                (x - want).abs() < 3.0 * OFFSET_LEAST as f32,
                "{i}: {x} {want}"
            );
        }
        assert_eq!(corrected(sound(0.05), 777), all);
    }

    #[test]
    fn sound_without_a_constant_stays_as_it_is() {
        assert_eq!(corrected(sound(0.0), 1000), sound(0.0));
        assert_eq!(corrected(vec![0.0; 100], 7), vec![0.0; 100]);
        assert!(corrected(Vec::new(), 7).is_empty());
    }
}
