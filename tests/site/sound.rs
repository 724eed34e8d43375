//! Made-up sound as a recording.

use tailbeat::error::Result;
use tailbeat::intake::recording::{Block, Recording, RecordingInfo};
use tailbeat::units::{Instant, SampleRate, Seconds};

/// Samples handed out in blocks of odd length, as a decoder would.
pub struct Sound {
    pub samples: Vec<f32>,
    pub rate: SampleRate,
    pub at: usize,
}

impl Sound {
    pub fn new(rate_hz: u32, samples: Vec<f32>) -> Self {
        Self {
            samples,
            rate: SampleRate::new(rate_hz).unwrap(),
            at: 0,
        }
    }
}

impl Recording for Sound {
    fn rate(&self) -> SampleRate {
        self.rate
    }

    fn expected_duration(&self) -> Option<Seconds> {
        None
    }

    fn next_block(&mut self) -> Result<Option<Block<'_>>> {
        let from = self.at;
        self.at = (from + 1153).min(self.samples.len());
        let start = Instant(0.0) + self.rate.samples_to_seconds(from as u64);
        let samples = &self.samples[from..self.at];
        Ok((!samples.is_empty()).then_some(Block { start, samples }))
    }

    fn finish(self: Box<Self>) -> Result<RecordingInfo> {
        unreachable!("measurements do not finish the recording")
    }
}
