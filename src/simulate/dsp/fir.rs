//! Linear-phase low-pass filters on complex signal: the receivers' selectivity.

use super::{BLOCK, ComplexBlock, RATE_HZ};
use std::f64::consts::PI;

/// Taps of a symmetric filter with gain 1 at zero frequency.
#[derive(Debug, Clone, PartialEq)]
pub struct Taps(Vec<f32>);

impl Taps {
    /// Windowed-sinc low-pass (Kaiser window) with its half-power points at +-`edge_hz` or so.
    #[must_use]
    pub fn brick_wall(edge_hz: f64, count: usize, beta: f64) -> Self {
        let centre = (count - 1) as f64 / 2.0;
        let taps = (0..count).map(|n| {
            let t = n as f64 - centre;
            let x = 2.0 * edge_hz / RATE_HZ;
            let sinc = if t == 0.0 {
                x
            } else {
                (PI * x * t).sin() / (PI * t)
            };
            let r = t / (centre + 1.0);
            sinc * bessel_i0(beta * (1.0 - r * r).sqrt())
        });
        Self::normalised(taps.collect())
    }

    /// Gaussian low-pass of equivalent noise bandwidth `bandwidth_hz` (both sides together):
    /// power response `exp(-f^2 / 2 r^2)` with `r = bandwidth / sqrt(2 pi)`.
    #[must_use]
    pub fn gaussian(bandwidth_hz: f64, count: usize) -> Self {
        let r = bandwidth_hz / (2.0 * PI).sqrt();
        let centre = (count - 1) as f64 / 2.0;
        let taps = (0..count).map(|n| {
            let t = (n as f64 - centre) / RATE_HZ;
            (-(2.0 * PI * r * t).powi(2)).exp()
        });
        Self::normalised(taps.collect())
    }

    fn normalised(taps: Vec<f64>) -> Self {
        let sum: f64 = taps.iter().sum();
        Self(taps.iter().map(|t| (t / sum) as f32).collect())
    }

    /// Equivalent noise bandwidth, both sides together: `rate * sum h^2`.
    #[must_use]
    pub fn noise_bandwidth_hz(&self) -> f64 {
        RATE_HZ * self.energy()
    }

    /// Sum of the squared taps: power of white noise of unit power after the filter.
    #[must_use]
    pub fn energy(&self) -> f64 {
        self.0.iter().map(|t| f64::from(*t).powi(2)).sum()
    }

    /// The largest tap: peak of an impulse after the filter.
    #[must_use]
    pub fn peak(&self) -> f64 {
        self.0
            .iter()
            .fold(0.0, |m, t| f64::max(m, f64::from(t.abs())))
    }

    /// rms radius of the filtered noise's spectrum, computed from the taps:
    /// `r^2 = -R''(0) / (4 pi^2 R(0))` with R the taps' own correlation, by its spectrum.
    #[must_use]
    pub fn rms_radius_hz(&self) -> f64 {
        let steps = 4000;
        let (mut power, mut moment) = (0.0, 0.0);
        for i in 0..steps {
            let f = (i as f64 + 0.5) / steps as f64 * RATE_HZ / 2.0;
            let centre = (self.0.len() - 1) as f64 / 2.0;
            let gain: f64 = (self.0.iter().enumerate())
                .map(|(n, t)| f64::from(*t) * (2.0 * PI * f / RATE_HZ * (n as f64 - centre)).cos())
                .sum();
            power += gain * gain;
            moment += gain * gain * f * f;
        }
        (moment / power).sqrt()
    }
}

/// A filter with its memory.
#[derive(Debug, Clone)]
pub struct ComplexFir {
    taps: Vec<f32>,
    re: Vec<f32>,
    im: Vec<f32>,
}

impl ComplexFir {
    /// A filter at rest.
    #[must_use]
    pub fn new(taps: &Taps) -> Self {
        let length = taps.0.len() - 1 + BLOCK;
        Self {
            taps: taps.0.clone(),
            re: vec![0.0; length],
            im: vec![0.0; length],
        }
    }

    /// Filters one block in place.
    pub fn process(&mut self, block: &mut ComplexBlock) {
        run(&self.taps, &mut self.re, &mut block.re);
        run(&self.taps, &mut self.im, &mut block.im);
    }
}

/// Convolution by whole rows: the inner loop runs over the block, so it vectorises.
fn run(taps: &[f32], memory: &mut [f32], block: &mut [f32; BLOCK]) {
    let history = taps.len() - 1;
    memory[history..].copy_from_slice(block);
    let mut out = [0.0f32; BLOCK];
    let half = taps.len() / 2;
    for (k, tap) in taps[..half].iter().enumerate() {
        let (early, late) = (
            &memory[k..k + BLOCK],
            &memory[history - k..history - k + BLOCK],
        );
        for ((o, a), b) in out.iter_mut().zip(early).zip(late) {
            *o += tap * (a + b);
        }
    }
    if taps.len() % 2 == 1 {
        for (o, a) in out.iter_mut().zip(&memory[half..half + BLOCK]) {
            *o += taps[half] * a;
        }
    }
    *block = out;
    memory.copy_within(BLOCK.., 0);
}

/// Modified Bessel function of order zero by its power series.
fn bessel_i0(x: f64) -> f64 {
    let mut term = 1.0;
    let mut sum = 1.0;
    for k in 1..40 {
        term *= (x / 2.0 / f64::from(k)).powi(2);
        sum += term;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::{ComplexFir, Taps};
    use crate::simulate::dsp::{BLOCK, ComplexBlock};

    #[test]
    fn blocks_join_without_a_seam() {
        let taps = Taps::brick_wall(8000.0, 49, 5.0);
        let mut filter = ComplexFir::new(&taps);
        let mut all = Vec::new();
        for b in 0..4 {
            let mut block = ComplexBlock::ZERO;
            if b == 0 {
                block.re[BLOCK - 10] = 1.0;
            }
            filter.process(&mut block);
            all.extend_from_slice(&block.re);
            assert!(block.im.iter().all(|x| *x == 0.0));
        }
        let start = BLOCK - 10;
        for (n, tap) in taps.0.iter().enumerate() {
            assert!((all[start + n] - tap).abs() < 1e-7);
        }
        assert!(all[start + 49..].iter().all(|x| *x == 0.0));
    }

    // At 48 kHz the tails fold over and widen the radius by 0.7 %.
    #[test]
    fn a_gaussian_filter_has_the_bandwidth_and_radius_of_its_formula() {
        let taps = Taps::gaussian(16_000.0, 41);
        assert!((taps.noise_bandwidth_hz() / 16_000.0 - 1.0).abs() < 2e-3);
        assert!((taps.rms_radius_hz() / 6383.08 - 1.0).abs() < 1e-2);
    }
}
