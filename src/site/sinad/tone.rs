//! A tone's exact pitch and its removal by least squares: an ideally narrow notch.

use crate::units::{Hertz, SampleRate};
use std::f64::consts::TAU;

/// A fitted tone `a cos + b sin`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tone {
    /// Pitch.
    pub frequency: Hertz,
    /// Cosine part.
    pub a: f64,
    /// Sine part.
    pub b: f64,
}

impl Tone {
    /// Mean square.
    pub fn power(self) -> f64 {
        0.5 * (self.a * self.a + self.b * self.b)
    }
}

/// Refinements of the pitch; each narrows it by 0.618.
const REFINEMENTS: usize = 36;

/// Fits a tone within `reach` of a first guess.
pub fn fit(block: &[f64], rate: SampleRate, guess: Hertz, reach: Hertz) -> Tone {
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    let (mut low, mut high) = ((guess - reach).get(), (guess + reach).get());
    let power = |hz: f64| at(block, rate, Hertz(hz)).power();
    let mut left = high - golden * (high - low);
    let mut right = low + golden * (high - low);
    let (mut at_left, mut at_right) = (power(left), power(right));
    for _ in 0..REFINEMENTS {
        if at_left < at_right {
            low = left;
            (left, at_left) = (right, at_right);
            right = low + golden * (high - low);
            at_right = power(right);
        } else {
            high = right;
            (right, at_right) = (left, at_left);
            left = high - golden * (high - low);
            at_left = power(left);
        }
    }
    at(block, rate, Hertz(0.5 * (low + high)))
}

/// Least squares at a fixed pitch.
fn at(block: &[f64], rate: SampleRate, frequency: Hertz) -> Tone {
    let (mut cc, mut ss, mut cs, mut xc, mut xs) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (x, (c, s)) in block.iter().zip(rotation(rate, frequency)) {
        cc += c * c;
        ss += s * s;
        cs += c * s;
        xc += x * c;
        xs += x * s;
    }
    let det = cc * ss - cs * cs;
    if det <= 0.0 {
        return Tone {
            frequency,
            a: 0.0,
            b: 0.0,
        };
    }
    Tone {
        frequency,
        a: (xc * ss - xs * cs) / det,
        b: (xs * cc - xc * cs) / det,
    }
}

/// Cosine and sine sample by sample.
fn rotation(rate: SampleRate, frequency: Hertz) -> impl Iterator<Item = (f64, f64)> {
    let (turn_s, turn_c) = (TAU * frequency.get() / f64::from(rate.hz())).sin_cos();
    let mut now = (1.0f64, 0.0f64);
    std::iter::repeat_with(move || {
        let this = now;
        now = (
            this.0 * turn_c - this.1 * turn_s,
            this.0 * turn_s + this.1 * turn_c,
        );
        this
    })
}

/// The block without the tone.
pub fn removed(block: &[f64], rate: SampleRate, tone: Tone) -> Vec<f64> {
    block
        .iter()
        .zip(rotation(rate, tone.frequency))
        .map(|(x, (c, s))| x - tone.a * c - tone.b * s)
        .collect()
}
