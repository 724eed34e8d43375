//! Edges to the millisecond: the likeliest moment at which the sound's variance changes.

use crate::acoustics::frames::FrameBlock;
use crate::tuning::timeline::REFINE_REACH_S;
use crate::units::{Instant, Seconds};

/// An edge with its standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// When.
    pub t: Instant,
    /// Standard deviation of `t`.
    pub sd: Seconds,
    /// Chance that something changes here as it was read.
    pub confidence: f64,
}

impl Edge {
    /// An edge of the recording or of a block.
    pub const fn plain(t: Instant) -> Self {
        Self {
            t,
            sd: Seconds(0.0),
            confidence: 1.0,
        }
    }
}

/// Samples that each side of a change must hold.
const SIDE: usize = 12;

/// Refines a coarse edge, looking no further than `before` and `after` (the lengths of the
/// stretches beside it) allow.
///
/// Maximises the likelihood of one change of variance in white Gaussian noise,
/// `-(k ln v1 + (n - k) ln v2) / 2`, on first differences (which lift the noise above hum and
/// voice); the standard deviation is that of the normalised likelihood, never below a sample.
pub fn refine(block: &FrameBlock, coarse: Instant, before: Seconds, after: Seconds) -> Edge {
    let reach = |length: Seconds| Seconds((0.7 * length.get()).clamp(0.006, REFINE_REACH_S));
    let from = coarse - reach(before);
    let samples = block.audio_between(from, coarse + reach(after));
    let rate = f64::from(block.audio_rate.hz());
    let fallback = Edge {
        t: coarse,
        sd: block.period,
        confidence: 1.0,
    };
    if samples.len() < 2 * SIDE + 2 {
        return fallback;
    }
    let origin = from.get().max(block.audio_start.get());
    let squares: Vec<f64> = samples
        .windows(2)
        .map(|w| f64::from(w[1] - w[0]).powi(2) + 1e-12)
        .collect();
    let total: f64 = squares.iter().sum();
    let n = squares.len();
    let mut sum = 0.0;
    let mut fits = vec![f64::NEG_INFINITY; n];
    for (k, square) in squares.iter().enumerate() {
        if k >= SIDE && k + SIDE <= n {
            let (left, right) = (k as f64, (n - k) as f64);
            fits[k] = -0.5 * (left * (sum / left).ln() + right * ((total - sum) / right).ln());
        }
        sum += square;
    }
    let best = fits.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    // Radio noise is not white: its samples are worth about half of independent ones.
    let weight = |fit: f64| (0.5 * (fit - best)).exp();
    let (mut mass, mut mean) = (0.0, 0.0);
    for (k, fit) in fits.iter().enumerate() {
        mass += weight(*fit);
        mean += weight(*fit) * k as f64;
    }
    mean /= mass;
    let variance: f64 = fits
        .iter()
        .enumerate()
        .map(|(k, fit)| weight(*fit) * (k as f64 - mean).powi(2))
        .sum::<f64>()
        / mass;
    Edge {
        t: Instant(origin + (mean + 0.5) / rate),
        sd: Seconds((variance + 1.0).sqrt() / rate),
        confidence: 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::SampleRate;

    #[test]
    fn finds_where_noise_begins() {
        let rate = 8000;
        let mut seed = 7u64;
        let mut noise = || {
            seed = seed
                .wrapping_mul(6364136223846793005)
                .wrapping_add(1442695040888963407);
            ((seed >> 33) as f32 / (1u64 << 31) as f32 - 0.5) * 0.4
        };
        let audio: Vec<f32> = (0..8000)
            .map(|i| noise() * if i >= 4003 { 1.0 } else { 0.05 })
            .collect();
        let block = FrameBlock {
            start: Instant(0.0),
            period: Seconds(0.005),
            frames: vec![Default::default(); 200],
            audio_start: Instant(0.0),
            audio_rate: SampleRate::new(rate).unwrap(),
            audio,
        };
        let edge = refine(&block, Instant(0.505), Seconds(1.0), Seconds(1.0));
        assert!((edge.t.get() - 4003.0 / 8000.0).abs() < 0.001, "{edge:?}");
        assert!(edge.sd.get() < 0.002);
    }
}
