//! Sounds without anything above 3 kHz, so that every way of decimating gives the same.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::f64::consts::TAU;

/// Seconds of each part.
pub const PART_S: f64 = 1.0;

/// Highest frequency in hertz: inside the pass band of any sensible decimation to 8 kHz.
pub const TOP_HZ: f64 = 3000.0;

/// One after the other: loud noise, faint noise, steady tones, a sub-audible tone under noise,
/// exact silence.
pub fn parts(rate: u32) -> Vec<f32> {
    let count = (PART_S * f64::from(rate)) as usize;
    let times = || (0..count).map(move |i| i as f64 / f64::from(rate));
    let noise = |seed: u64, rms: f64| {
        let lines = lines(seed);
        // Each line's mean square is a half.
        let each = rms * (2.0 / lines.len() as f64).sqrt();
        times().map(move |t| {
            let sum: f64 = (lines.iter())
                .map(|(hz, phase)| (TAU * hz * t + phase).sin())
                .sum();
            sum * each
        })
    };
    let tone = |hz: f64, peak: f64| times().map(move |t| peak * (TAU * hz * t).sin());
    let mut all: Vec<f64> = noise(1, 0.1).collect();
    all.extend(noise(2, 3e-4));
    for hz in [412.0, 1000.0, 1633.0, 2487.3] {
        all.extend(tone(hz, 0.5).take(count / 4));
    }
    all.extend(noise(3, 0.01).zip(tone(103.5, 0.1)).map(|(a, b)| a + b));
    all.extend(std::iter::repeat_n(0.0, count / 2));
    all.into_iter().map(|s| s as f32).collect()
}

/// Frequencies and phases of a noise: so many lines that no frame resolves them.
fn lines(seed: u64) -> Vec<(f64, f64)> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    (0..600)
        .map(|_| (rng.random_range(60.0..TOP_HZ), rng.random_range(0.0..TAU)))
        .collect()
}
