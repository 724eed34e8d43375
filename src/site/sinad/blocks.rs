//! A recording in blocks of one length.

use crate::error::Result;
use crate::intake::recording::Recording;
use crate::units::{Instant, SampleRate, Seconds};

/// Length of a block: its spectral lines are 2 Hz apart, and half a minute gives 60 of them.
pub const BLOCK_S: f64 = 0.5;

/// Samples in a block at a rate.
pub fn block_length(rate: SampleRate) -> usize {
    rate.seconds_to_samples(Seconds(BLOCK_S)).max(1) as usize
}

/// Calls `take` with the start and samples of every full block.
///
/// # Errors
/// The recording cannot be read on.
pub fn each_block(
    recording: &mut dyn Recording,
    mut take: impl FnMut(Instant, &[f64]),
) -> Result<()> {
    let length = block_length(recording.rate());
    let rate = recording.rate();
    let mut held: Vec<f64> = Vec::with_capacity(length);
    let mut start = Instant(0.0);
    while let Some(block) = recording.next_block()? {
        for (i, sample) in block.samples.iter().enumerate() {
            if held.is_empty() {
                start = block.start + rate.samples_to_seconds(i as u64);
            }
            held.push(f64::from(*sample));
            if held.len() == length {
                take(start, &held);
                held.clear();
            }
        }
    }
    Ok(())
}
