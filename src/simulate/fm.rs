//! Frequency modulation and its undoing, in complex baseband.

use super::dsp::iir::{Chain, PreEmphasis};
use super::dsp::{BLOCK, Block, ComplexBlock, RATE_HZ, fast_atan2};
use std::f64::consts::TAU;

/// Turns deviation into a carrier of unit amplitude.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Modulator {
    phase: f64,
}

impl Modulator {
    /// One block; `deviation_hz` is the instantaneous frequency.
    pub fn modulate(&mut self, deviation_hz: &Block) -> ComplexBlock {
        let mut out = ComplexBlock::ZERO;
        for (i, hz) in deviation_hz.iter().enumerate() {
            self.phase += TAU / RATE_HZ * f64::from(*hz);
            let (sin, cos) = (self.phase as f32).sin_cos();
            out.re[i] = cos;
            out.im[i] = sin;
        }
        // Kept small so that single precision holds the angle.
        self.phase %= TAU;
        out
    }
}

/// Turns a carrier into its instantaneous frequency: the angle from sample to sample.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Discriminator {
    re: f32,
    im: f32,
}

impl Discriminator {
    /// One block, in hertz.
    pub fn demodulate(&mut self, signal: &ComplexBlock) -> Block {
        let mut out = [0.0; BLOCK];
        let scale = (RATE_HZ / TAU) as f32;
        let (mut last_re, mut last_im) = (self.re, self.im);
        for ((o, re), im) in out.iter_mut().zip(&signal.re).zip(&signal.im) {
            let cross = im * last_re - re * last_im;
            let dot = re * last_re + im * last_im;
            *o = scale * fast_atan2(cross, dot);
            (last_re, last_im) = (*re, *im);
        }
        (self.re, self.im) = (last_re, last_im);
        out
    }
}

/// A user's audio chain before the modulator: pre-emphasis, limiter, splatter filter.
#[derive(Debug, Clone)]
pub struct Speaker {
    emphasis: PreEmphasis,
    band: Chain,
    splatter: Chain,
    peak_hz: f32,
}

impl Speaker {
    /// `peak_hz` is the deviation that a 1 kHz tone of full scale gives and that the limiter keeps.
    #[must_use]
    pub fn new(peak_hz: f64) -> Self {
        Self {
            emphasis: PreEmphasis::default(),
            band: Chain::band(250.0, 3400.0),
            splatter: Chain::band(0.0, 3300.0),
            peak_hz: peak_hz as f32,
        }
    }

    /// One block of sound to deviation.
    pub fn run(&mut self, sound: &mut Block) {
        self.band.run(sound);
        self.emphasis.run(sound);
        for x in sound.iter_mut() {
            *x = x.clamp(-1.0, 1.0) * self.peak_hz;
        }
        self.splatter.run(sound);
    }
}
