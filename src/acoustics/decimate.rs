//! Whole-number decimation by a windowed-sinc filter, streaming, with its delay taken off.

use super::lanes;
use crate::tuning::acoustics::{DECIMATOR_CUTOFF, DECIMATOR_TAPS_PER_STEP};
use std::f64::consts::PI;

/// Decimates a stream by a whole factor. Output sample `k` is centred on input sample
/// `k * factor`: no delay.
pub struct Decimator {
    factor: usize,
    taps: Vec<f32>,
    /// Input not yet used up, starting `taps.len() / 2` samples before the next output's centre.
    pending: Vec<f32>,
}

impl Decimator {
    /// A decimator by `factor` (1 passes samples on unchanged).
    pub fn new(factor: usize) -> Self {
        let factor = factor.max(1);
        let taps = if factor == 1 {
            vec![1.0]
        } else {
            low_pass(factor)
        };
        let pending = vec![0.0; taps.len() / 2];
        Self {
            factor,
            taps,
            pending,
        }
    }

    /// Filters `input` and appends what is ready to `output`.
    pub fn push(&mut self, input: &[f32], output: &mut Vec<f32>) {
        if self.factor == 1 {
            output.extend_from_slice(input);
            return;
        }
        self.pending.extend_from_slice(input);
        let mut at = 0;
        while at + self.taps.len() <= self.pending.len() {
            output.push(lanes::dot(
                &self.taps,
                &self.pending[at..at + self.taps.len()],
            ));
            at += self.factor;
        }
        self.pending.drain(..at.min(self.pending.len()));
    }

    /// Flushes the end of the stream, as if zeros followed.
    pub fn finish(&mut self, output: &mut Vec<f32>) {
        if self.factor > 1 {
            self.push(&vec![0.0; self.taps.len() / 2], output);
        }
    }
}

/// Blackman-windowed sinc of odd length, unity gain at DC.
fn low_pass(factor: usize) -> Vec<f32> {
    let half = factor * DECIMATOR_TAPS_PER_STEP / 2;
    let cutoff = DECIMATOR_CUTOFF / factor as f64;
    let raw: Vec<f64> = (0..=2 * half)
        .map(|i| {
            let x = i as f64 - half as f64;
            let sinc = if x == 0.0 {
                2.0 * cutoff
            } else {
                (2.0 * PI * cutoff * x).sin() / (PI * x)
            };
            let phase = 2.0 * PI * i as f64 / (2 * half) as f64;
            sinc * (0.42 - 0.5 * phase.cos() + 0.08 * (2.0 * phase).cos())
        })
        .collect();
    let gain: f64 = raw.iter().sum();
    raw.iter().map(|t| (t / gain) as f32).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tone(rate: f64, hz: f64, count: usize) -> Vec<f32> {
        (0..count)
            .map(|i| (2.0 * PI * hz * i as f64 / rate).sin() as f32)
            .collect()
    }

    fn rms(samples: &[f32]) -> f64 {
        (samples.iter().map(|s| f64::from(*s).powi(2)).sum::<f64>() / samples.len() as f64).sqrt()
    }

    #[test]
    fn passes_speech_and_stops_what_would_fold_back() {
        for factor in [2usize, 3, 5, 6, 12, 24] {
            let rate = 8000.0 * factor as f64;
            let pass = |hz: f64| {
                let mut decimator = Decimator::new(factor);
                let mut out = Vec::new();
                for part in tone(rate, hz, rate as usize / 2).chunks(997) {
                    decimator.push(part, &mut out);
                }
                decimator.finish(&mut out);
                assert_eq!(out.len(), 4000);
                rms(&out[400..3600]) * 2f64.sqrt()
            };
            assert!((pass(1000.0) - 1.0).abs() < 0.003, "factor {factor}");
            assert!((pass(3000.0) - 1.0).abs() < 0.02, "factor {factor}");
            assert!(pass(5200.0) < 0.01, "factor {factor}: {}", pass(5200.0));
        }
    }

    #[test]
    fn an_impulse_stays_where_it_was() {
        let mut input = vec![0.0; 6000];
        input[3000] = 1.0;
        let mut out = Vec::new();
        let mut decimator = Decimator::new(6);
        decimator.push(&input, &mut out);
        decimator.finish(&mut out);
        let peak = out
            .iter()
            .enumerate()
            .max_by(|a, b| a.1.total_cmp(b.1))
            .map(|(i, _)| i);
        assert_eq!(peak, Some(500));
    }
}
