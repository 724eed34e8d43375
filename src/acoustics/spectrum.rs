//! One frame's spectrum and the features read off it.

use super::frames::{BAND_EDGES_HZ, BANDS, Frame};
use super::lanes;
use crate::tuning::acoustics::{FRAME_WINDOW_S, STRIP_EDGES_HZ};
use crate::units::{SILENCE_MEAN_SQUARE, SampleRate};
use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};
use std::f64::consts::PI;
use std::ops::Range;
use std::sync::Arc;

/// Number of bands of the picture's spectrogram.
pub const STRIP_BANDS: usize = STRIP_EDGES_HZ.len() - 1;

/// A planned transform with its buffers: no allocation per frame.
pub struct Spectrum {
    fft: Arc<dyn RealToComplex<f32>>,
    window: Vec<f32>,
    input: Vec<f32>,
    output: Vec<Complex<f32>>,
    scratch: Vec<Complex<f32>>,
    power: Vec<f32>,
    line_hz: f32,
    low: Range<usize>,
    above_300: Range<usize>,
    bands: [Range<usize>; BANDS],
    strip: [Range<usize>; STRIP_BANDS],
}

impl Spectrum {
    /// Plans for the analysis rate.
    pub fn new(rate: SampleRate) -> Self {
        let length = window_length(rate);
        let fft = RealFftPlanner::<f32>::new().plan_fft_forward(length);
        let raw: Vec<f64> = (0..length)
            .map(|i| 0.5 - 0.5 * (2.0 * PI * (i as f64 + 0.5) / length as f64).cos())
            .collect();
        // Scaled so that the sum of the one-sided power lines is the mean square of the input.
        let energy: f64 = raw.iter().map(|w| w * w).sum();
        let scale = (2.0 / (length as f64 * energy)).sqrt();
        let line_hz = f64::from(rate.hz()) / length as f64;
        let lines = |from: f64, to: f64| -> Range<usize> {
            let a = (from / line_hz).round() as usize;
            let b = (to / line_hz).round() as usize;
            a.clamp(1, length / 2)..b.clamp(a + 1, length / 2 + 1)
        };
        Self {
            input: fft.make_input_vec(),
            output: fft.make_output_vec(),
            scratch: fft.make_scratch_vec(),
            power: vec![0.0; length / 2 + 1],
            window: raw.iter().map(|w| (w * scale) as f32).collect(),
            line_hz: line_hz as f32,
            low: lines(60.0, 260.0),
            above_300: lines(300.0, 3800.0),
            bands: std::array::from_fn(|b| lines(BAND_EDGES_HZ[b], BAND_EDGES_HZ[b + 1])),
            strip: std::array::from_fn(|b| lines(STRIP_EDGES_HZ[b], STRIP_EDGES_HZ[b + 1])),
            fft,
        }
    }

    /// Samples in a window.
    pub fn length(&self) -> usize {
        self.window.len()
    }

    /// Features of one window of samples; the strip's band powers are added to `strip`.
    pub fn frame(&mut self, samples: &[f32], strip: &mut [f64; STRIP_BANDS]) -> Frame {
        for ((slot, sample), weight) in self.input.iter_mut().zip(samples).zip(&self.window) {
            *slot = sample * weight;
        }
        if self
            .fft
            .process_with_scratch(&mut self.input, &mut self.output, &mut self.scratch)
            .is_err()
        {
            // Buffer lengths come from the plan itself, so this cannot happen; silence is honest.
            self.power.fill(0.0);
        } else {
            for (p, c) in self.power.iter_mut().zip(&self.output) {
                *p = c.norm_sqr();
            }
        }
        for (sum, lines) in strip.iter_mut().zip(&self.strip) {
            *sum += f64::from(lanes::sum(&self.power[lines.clone()]));
        }
        let (tonality, peak_hz) = self.strongest_line();
        Frame {
            level_db: to_db(lanes::sum(&self.power[1..])),
            low_db: to_db(lanes::sum(&self.power[self.low.clone()])),
            bands_db: std::array::from_fn(|b| {
                let lines = &self.power[self.bands[b].clone()];
                to_db(lanes::sum(lines) / lines.len() as f32)
            }),
            tonality,
            peak_hz,
            peak: lanes::loudest(samples),
        }
    }

    /// Share and frequency of the strongest line above 300 Hz; the frequency by a parabola
    /// through the logarithms of the three lines at the peak.
    fn strongest_line(&self) -> (f32, f32) {
        let lines = &self.power[self.above_300.clone()];
        let total = lanes::sum(lines);
        if total <= SILENCE_MEAN_SQUARE as f32 {
            return (0.0, 0.0);
        }
        let loudest = lanes::loudest(lines);
        let top = lines.iter().position(|p| *p == loudest).unwrap_or(0);
        let at = top + self.above_300.start;
        let side = |i: usize| self.power.get(i).copied().unwrap_or(0.0).max(1e-20).ln();
        let (a, b, c) = (side(at - 1), side(at), side(at + 1));
        let bend = a - 2.0 * b + c;
        let shift = if bend < -1e-6 {
            (0.5 * (a - c) / bend).clamp(-0.5, 0.5)
        } else {
            0.0
        };
        let near: f32 = self.power[at - 1..(at + 2).min(self.power.len())]
            .iter()
            .sum();
        ((near / total).min(1.0), (at as f32 + shift) * self.line_hz)
    }
}

fn to_db(power: f32) -> f32 {
    10.0 * power.max(SILENCE_MEAN_SQUARE as f32).log10()
}

/// Nearest even length to the window's that factors into 2, 3 and 5.
fn window_length(rate: SampleRate) -> usize {
    let wanted = FRAME_WINDOW_S * f64::from(rate.hz());
    let smooth = |n: usize| {
        let mut rest = n;
        for p in [2, 3, 5] {
            while rest.is_multiple_of(p) {
                rest /= p;
            }
        }
        rest == 1
    };
    (64..=1024usize)
        .step_by(2)
        .filter(|n| smooth(*n))
        .min_by(|a, b| {
            (*a as f64 - wanted)
                .abs()
                .total_cmp(&(*b as f64 - wanted).abs())
        })
        .unwrap_or(128)
}
