//! Power in a band, from a windowed transform.

use super::band::{Band, Weighting};
use crate::units::{Hertz, SampleRate};
use realfft::{RealFftPlanner, RealToComplex};
use std::sync::Arc;

/// Reusable transform for blocks of one length.
pub struct Spectrum {
    transform: Arc<dyn RealToComplex<f64>>,
    window: Vec<f64>,
    window_power: f64,
    /// Weight of each line's power; 0 outside the band.
    weights: Vec<f64>,
    line: Hertz,
}

/// Half the width of the window's main lobe in lines: a tone on the very edge of the band, such
/// as the third harmonic of 1 kHz, still counts as a whole.
const EDGE_LINES: f64 = 2.0;

impl Spectrum {
    /// For blocks of `length` samples.
    pub fn new(length: usize, rate: SampleRate, band: Band, weighting: Weighting) -> Self {
        let line = Hertz(f64::from(rate.hz()) / length as f64);
        let window: Vec<f64> = (0..length)
            .map(|i| 0.5 - 0.5 * (std::f64::consts::TAU * i as f64 / length as f64).cos())
            .collect();
        let edge = line * EDGE_LINES;
        let (low, high) = ((band.low - edge).get(), (band.high + edge).get());
        let weights = (0..=length / 2)
            .map(|k| line * k as f64)
            .map(|f| {
                let inside = f.get() > 0.0 && (low..=high).contains(&f.get());
                if inside {
                    weighting.power_factor(f)
                } else {
                    0.0
                }
            })
            .collect();
        Self {
            transform: RealFftPlanner::new().plan_fft_forward(length),
            window_power: window.iter().map(|w| w * w).sum(),
            window,
            weights,
            line,
        }
    }

    /// Power of each line, one-sided, so that the lines of a block sum to its mean square.
    fn lines(&self, block: &[f64]) -> Vec<f64> {
        let mut input: Vec<f64> = block.iter().zip(&self.window).map(|(x, w)| x * w).collect();
        let mut output = self.transform.make_output_vec();
        // The lengths fit by construction; a block of another length has no lines.
        if self.transform.process(&mut input, &mut output).is_err() {
            return Vec::new();
        }
        let scale = 2.0 / (block.len() as f64 * self.window_power);
        output.iter().map(|c| c.norm_sqr() * scale).collect()
    }

    /// Weighted mean square within the band.
    pub fn band_power(&self, block: &[f64]) -> f64 {
        self.lines(block)
            .iter()
            .zip(&self.weights)
            .map(|(p, w)| p * w)
            .sum()
    }

    /// Strongest line between two frequencies.
    pub fn strongest(&self, block: &[f64], low: Hertz, high: Hertz) -> Option<Hertz> {
        let lines = self.lines(block);
        (0..lines.len())
            .filter(|k| (low.get()..=high.get()).contains(&(self.line * *k as f64).get()))
            .max_by(|a, b| lines[*a].total_cmp(&lines[*b]))
            .map(|k| self.line * k as f64)
    }

    /// Distance of two lines.
    pub fn line(&self) -> Hertz {
        self.line
    }
}
