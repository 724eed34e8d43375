//! The last samples of a stream, and stretches of them as recordings.

use crate::error::Result;
use crate::intake::recording::{Block, ChannelChoice, Recording, RecordingInfo};
use crate::units::{Instant, SampleRate, Seconds};
use std::collections::VecDeque;

/// Samples handed out at a time.
const BLOCK: usize = 1 << 15;

/// Keeps the last so many seconds.
#[derive(Debug, Clone)]
pub struct Ring {
    rate: SampleRate,
    most: usize,
    samples: VecDeque<f32>,
    /// Samples that came since the stream began.
    total: u64,
}

impl Ring {
    /// An empty one.
    #[must_use]
    pub fn new(rate: SampleRate, length: Seconds) -> Self {
        let most = rate.seconds_to_samples(length) as usize;
        Self {
            rate,
            most,
            samples: VecDeque::with_capacity(most),
            total: 0,
        }
    }

    /// Takes samples, forgetting the oldest.
    pub fn push(&mut self, samples: &[f32]) {
        self.total += samples.len() as u64;
        let new = &samples[samples.len().saturating_sub(self.most)..];
        let over = (self.samples.len() + new.len()).saturating_sub(self.most);
        self.samples.drain(..over);
        self.samples.extend(new);
    }

    /// Forgets all sound, not the time: a source that was away comes back at another moment.
    pub fn clear(&mut self) {
        self.samples.clear();
    }

    /// Sets the time of the first sample that comes.
    pub fn start_at(&mut self, at: Instant) {
        self.samples.clear();
        self.total = self.rate.seconds_to_samples(at - Instant(0.0));
    }

    /// Rate of the samples.
    #[must_use]
    pub const fn rate(&self) -> SampleRate {
        self.rate
    }

    /// Samples that came since the stream began.
    #[must_use]
    pub const fn total(&self) -> u64 {
        self.total
    }

    /// Time of the next sample that comes.
    #[must_use]
    pub fn now(&self) -> Instant {
        Instant(self.rate.samples_to_seconds(self.total).get())
    }

    /// How much is kept.
    #[must_use]
    pub fn length(&self) -> Seconds {
        self.rate.samples_to_seconds(self.samples.len() as u64)
    }

    /// The last `length`, or what there is of it, and the time of its first sample.
    #[must_use]
    pub fn last(&self, length: Seconds) -> (Instant, Vec<f32>) {
        let wanted = self.rate.seconds_to_samples(length) as usize;
        let skip = self.samples.len().saturating_sub(wanted);
        let samples: Vec<f32> = self.samples.range(skip..).copied().collect();
        let start = self.now() - self.rate.samples_to_seconds(samples.len() as u64);
        (start, samples)
    }

    /// The last `length` as a recording of its own, and the time of its first sample.
    #[must_use]
    pub fn stretch(&self, length: Seconds) -> (Instant, Box<dyn Recording>) {
        let (start, samples) = self.last(length);
        let stretch = Stretch {
            rate: self.rate,
            samples,
            at: 0,
        };
        (start, Box::new(stretch))
    }
}

/// Samples in memory as a recording.
struct Stretch {
    rate: SampleRate,
    samples: Vec<f32>,
    at: usize,
}

impl Recording for Stretch {
    fn rate(&self) -> SampleRate {
        self.rate
    }

    fn expected_duration(&self) -> Option<Seconds> {
        Some(self.rate.samples_to_seconds(self.samples.len() as u64))
    }

    fn next_block(&mut self) -> Result<Option<Block<'_>>> {
        let start = Instant(self.rate.samples_to_seconds(self.at as u64).get());
        let end = (self.at + BLOCK).min(self.samples.len());
        let samples = &self.samples[self.at..end];
        self.at = end;
        Ok((!samples.is_empty()).then_some(Block { start, samples }))
    }

    fn finish(self: Box<Self>) -> Result<RecordingInfo> {
        Ok(RecordingInfo {
            name: "stream".into(),
            sha256: String::new(),
            duration: self.rate.samples_to_seconds(self.samples.len() as u64),
            sample_rate: self.rate,
            channels: 1,
            container: "stream".into(),
            codec: "pcm_f32le".into(),
            started_at: None,
            channel_choice: ChannelChoice::Mono,
            damage: Vec::new(),
            clips: None,
            delay_removed: Seconds(0.0),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_newest_samples_are_kept_and_the_clock_counts_all() {
        let rate = SampleRate::new(8_000).unwrap();
        let mut ring = Ring::new(rate, Seconds(1.0));
        ring.push(&vec![0.1; 12_000]);
        ring.push(&[0.5; 2_000]);
        assert_eq!(ring.length(), Seconds(1.0));
        assert_eq!(ring.now(), Instant(1.75));
        let (start, mut recording) = ring.stretch(Seconds(0.5));
        assert_eq!(start, Instant(1.25));
        let block = recording.next_block().unwrap().unwrap();
        assert_eq!((block.samples[0], block.samples[2_000]), (0.1, 0.5));
        ring.clear();
        assert_eq!((ring.length(), ring.now()), (Seconds(0.0), Instant(1.75)));
    }
}
