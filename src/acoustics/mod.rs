//! A recording's samples to [`frames`]: features on one clock, streaming, in constant memory.

mod decimate;
pub mod frames;
mod lanes;
mod offset;
mod spectrum;
mod strip;

use crate::tuning::acoustics::{ANALYSIS_RATE_MIN_HZ, BLOCK_S, FRAME_HOP_S, OVERLAP_S};
use crate::units::{Instant, SampleRate, Seconds};
use frames::{FrameBlock, Strip};

/// Turns samples into blocks of frames. Each block repeats the last [`OVERLAP_S`] of the one
/// before.
pub struct Analyser {
    decimator: decimate::Decimator,
    offset: offset::Offset,
    spectrum: spectrum::Spectrum,
    strip: strip::StripBuilder,
    hop: usize,
    block_frames: usize,
    overlap_frames: usize,
    block: FrameBlock,
    /// Position in `block.audio` of the next frame's first sample.
    next: usize,
    /// So many samples of `block.audio` are free of a constant.
    settled: usize,
    loudest: f32,
    clipped_frames: u64,
    frames: u64,
}

/// What is left when the last block has been taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Leftover {
    /// The picture's strip.
    pub strip: Strip,
    /// Share of frames that touch the recording's own ceiling while that is near full scale.
    pub clipped_share: f64,
}

impl Analyser {
    /// For samples at `rate`.
    #[must_use]
    pub fn new(rate: SampleRate) -> Self {
        let factor = (rate.hz() / ANALYSIS_RATE_MIN_HZ).max(1);
        // The analysis rate need not be a whole number of hertz: time counts input samples.
        let analysis_hz = f64::from(rate.hz()) / f64::from(factor);
        let audio_rate = SampleRate::new(analysis_hz.round() as u32).unwrap_or(rate);
        let hop = (FRAME_HOP_S * analysis_hz).round().max(1.0) as usize;
        let period = Seconds(hop as f64 / analysis_hz);
        let spectrum = spectrum::Spectrum::new(audio_rate);
        let half = spectrum.length() / 2;
        let block = FrameBlock {
            start: Instant(0.0),
            period,
            frames: Vec::new(),
            audio_start: Instant(-(half as f64) / analysis_hz),
            audio_rate,
            audio: vec![0.0; half],
        };
        Self {
            decimator: decimate::Decimator::new(factor as usize),
            offset: offset::Offset::new(analysis_hz),
            strip: strip::StripBuilder::new(period),
            spectrum,
            hop,
            block_frames: (BLOCK_S / period.get()).round() as usize,
            overlap_frames: (OVERLAP_S / period.get()).round() as usize,
            block,
            next: 0,
            settled: half,
            loudest: 0.0,
            clipped_frames: 0,
            frames: 0,
        }
    }

    /// Takes samples; calls `done` with each block that is full.
    ///
    /// # Errors
    /// Whatever `done` returns.
    pub fn push<E>(
        &mut self,
        samples: &[f32],
        done: &mut dyn FnMut(&FrameBlock) -> Result<(), E>,
    ) -> Result<(), E> {
        // In parts, so that one huge push does not pile up sound beyond a block.
        for part in samples.chunks(1 << 16) {
            self.decimator.push(part, &mut self.block.audio);
            self.settled += self.offset.run(&mut self.block.audio[self.settled..]);
            self.drain();
            if self.block.frames.len() >= self.block_frames + self.overlap_frames {
                done(&self.block)?;
                self.forget();
            }
        }
        Ok(())
    }

    /// Ends the stream: the last block, and the leftovers.
    #[must_use]
    pub fn finish(mut self) -> (FrameBlock, Leftover) {
        self.decimator.finish(&mut self.block.audio);
        self.offset.finish(&mut self.block.audio[self.settled..]);
        let silence = self.spectrum.length() / 2;
        self.block.audio.extend(std::iter::repeat_n(0.0, silence));
        self.settled = self.block.audio.len();
        self.drain();
        let clipped_share = self.clipped_frames as f64 / self.frames.max(1) as f64;
        (
            self.block,
            Leftover {
                strip: self.strip.finish(),
                clipped_share,
            },
        )
    }

    fn drain(&mut self) {
        let length = self.spectrum.length();
        while self.next + length <= self.settled {
            let mut bands = [0.0; spectrum::STRIP_BANDS];
            let frame = self
                .spectrum
                .frame(&self.block.audio[self.next..self.next + length], &mut bands);
            self.strip.push(frame.level_db, &bands);
            self.frames += 1;
            self.loudest = self.loudest.max(frame.peak);
            if frame.peak >= CEILING.max(self.loudest * 0.985) {
                self.clipped_frames += 1;
            }
            self.block.frames.push(frame);
            self.next += self.hop;
        }
    }

    /// Drops all but the overlap.
    fn forget(&mut self) {
        let drop = self.block.frames.len() - self.overlap_frames;
        self.block.frames.drain(..drop);
        self.block.start = self.block.start + self.block.period * drop as f64;
        let samples = drop * self.hop;
        self.block.audio.drain(..samples);
        self.block.audio_start = self.block.audio_start + self.block.period * drop as f64;
        self.next -= samples;
        self.settled -= samples;
    }
}

/// A peak below this is no clipping, however often it is touched.
const CEILING: f32 = 0.97;

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn blocks_of(rate: u32, samples: &[f32]) -> (Vec<FrameBlock>, Leftover) {
        let mut analyser = Analyser::new(SampleRate::new(rate).unwrap());
        let mut blocks = Vec::new();
        let mut take = |block: &FrameBlock| -> Result<(), std::convert::Infallible> {
            blocks.push(block.clone());
            Ok(())
        };
        analyser.push(samples, &mut take).unwrap();
        let (last, leftover) = analyser.finish();
        blocks.push(last);
        (blocks, leftover)
    }

    #[test]
    fn a_full_scale_sine_reads_minus_3_dbfs_at_every_rate() {
        for rate in [
            8_000, 11_025, 16_000, 22_050, 44_100, 48_000, 96_000, 192_000,
        ] {
            let samples: Vec<f32> = (0..rate * 2)
                .map(|i| (2.0 * PI * 1000.0 * f64::from(i) / f64::from(rate)).sin() as f32)
                .collect();
            let (blocks, _) = blocks_of(rate, &samples);
            let frame = blocks[0].frames[200];
            assert!(
                (frame.level_db + 3.01).abs() < 0.1,
                "{rate}: {}",
                frame.level_db
            );
            assert!(
                (frame.peak_hz - 1000.0).abs() < 6.0,
                "{rate}: {}",
                frame.peak_hz
            );
            assert!(frame.tonality > 0.97, "{rate}: {}", frame.tonality);
        }
    }

    #[test]
    fn frames_keep_the_recordings_clock() {
        for rate in [8_000u32, 44_100, 48_000] {
            let mut samples = vec![0.0f32; rate as usize * 700];
            let at = 431.7;
            let first = (at * f64::from(rate)) as usize;
            for (i, s) in samples[first..first + rate as usize].iter_mut().enumerate() {
                *s = (2.0 * PI * 800.0 * i as f64 / f64::from(rate)).sin() as f32;
            }
            let (blocks, _) = blocks_of(rate, &samples);
            assert!(blocks.len() >= 2, "long sound comes in blocks");
            let edge = blocks
                .iter()
                .find_map(|b| {
                    b.frames
                        .iter()
                        .position(|f| f.level_db > -9.0)
                        .map(|i| b.time_of(i))
                })
                .unwrap();
            assert!((edge.get() - at).abs() < 0.005, "{rate}: {edge:?}");
            for block in &blocks {
                let t = Instant(block.start.get() + 10.0);
                assert!((block.time_of(block.index_of(t)) - t).get().abs() <= 0.0026);
            }
        }
    }

    #[test]
    fn a_long_recording_leaves_a_bounded_strip() {
        let (_, leftover) = blocks_of(8_000, &vec![0.01; 8_000 * 120]);
        assert!(leftover.strip.columns.len() <= crate::tuning::acoustics::STRIP_COLUMNS_MAX);
        let length = leftover.strip.column.get() * leftover.strip.columns.len() as f64;
        assert!((length - 120.0).abs() < 0.1, "{length}");
    }

    #[test]
    fn clipping_is_seen_and_mere_loudness_is_not() {
        let sine = |gain: f64| -> Vec<f32> {
            (0..16_000)
                .map(|i| ((f64::from(i) * 0.7).sin() * gain).clamp(-0.99, 0.99) as f32)
                .collect()
        };
        assert!(blocks_of(8_000, &sine(3.0)).1.clipped_share > 0.9);
        assert!(blocks_of(8_000, &sine(0.5)).1.clipped_share == 0.0);
    }
}
