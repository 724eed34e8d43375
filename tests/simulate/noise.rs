//! Noise alone behind the discriminator: what an open squelch hears with no carrier.

use crate::air::{Air, filter};
use crate::band::{Split, VOICE_HZ, db};
use crate::correlation::Correlation;
use crate::near;
use std::f64::consts::{PI, TAU};
use tailbeat::simulate::dsp::RATE_HZ;

const RUN_S: f64 = 40.0;

#[test]
fn band_noise_without_a_carrier() {
    // Rice, BSTJ 27, 1948 (from memory): 3344.93 Hz rms in 300-3000 Hz behind a rectangular
    // filter of 16 kHz. Power goes with the bandwidth.
    let split = Split::of(&Air::NONE.received(RUN_S, 6), VOICE_HZ);
    let b = filter().noise_bandwidth_hz();
    let want = db(3344.93f64.powi(2) * b / 16_000.0);
    let got = db(split.rest + split.tone);
    println!("{got} dB, theory {want}");
    // Soft edges of the filter and 0.03 dB of chance.
    near("band noise", got, want, 0.3);
}

/// Chance that the angle from one sample to the next is beyond `angle`, for noise whose samples
/// have the correlation `mu`: the law of the phase between two correlated Gaussian signals,
/// `(1 - mu^2) / (2 pi) (1 + b acos(-b) / sqrt(1 - b^2)) / (1 - b^2)` with `b = mu cos x`
/// (Middleton; the same in radar interferometry, from memory).
fn beyond(mu: f64, angle: f64) -> f64 {
    let points = 20_000;
    let step = (PI - angle) / f64::from(points);
    (0..points)
        .map(|i| {
            let b = mu * (angle + (f64::from(i) + 0.5) * step).cos();
            let rest = 1.0 - b * b;
            let density = (1.0 - mu * mu) / TAU * (1.0 + b * (-b).acos() / rest.sqrt()) / rest;
            2.0 * density * step
        })
        .sum()
}

#[test]
fn the_instantaneous_frequency_is_spread_as_theory_has_it() {
    // Rice 1948 (from memory): density (1/2r)(1 + (f/r)^2)^-1.5, so that 29.2893 % lie beyond r
    // and half beyond r / sqrt 3. Its variance is infinite, so that no rms is tested. It is the
    // limit for short steps of the law for finite ones:
    let r = filter().rms_radius_hz();
    let short_s = 1e-6;
    let mu = 1.0 - (TAU * r * short_s).powi(2) / 2.0;
    near("beyond r", beyond(mu, TAU * r * short_s), 0.292_893, 1e-3);
    let third = TAU * r * short_s / 3f64.sqrt();
    near("beyond r / sqrt 3", beyond(mu, third), 0.5, 1e-3);
    // The simulator's step of 1/48000 s is not short. The correlation over it comes from the
    // filter's response, the shares from the sound.
    let mu = Correlation::of(&filter()).at(1.0 / RATE_HZ).0;
    let hz = Air::NONE.received(RUN_S, 7);
    for beyond_hz in [r / 2.0, r / 3f64.sqrt(), r, 2.0 * r, 4.0 * r] {
        let count = hz.iter().filter(|x| f64::from(x.abs()) > beyond_hz).count();
        let got = count as f64 / hz.len() as f64;
        let want = beyond(mu, TAU * beyond_hz / RATE_HZ);
        println!("beyond {beyond_hz} Hz: {got}, theory {want}");
        near(&format!("beyond {beyond_hz} Hz"), got, want, CHANCE);
    }
}

/// Some 600 000 independent values give 0.0006; three times that.
const CHANCE: f64 = 0.002;

#[test]
fn noise_rises_with_frequency_under_a_strong_carrier() {
    // Parabolic: power in an octave rises by a factor of eight (any text on FM, from memory).
    let samples = Air::carrier(25.0).received(RUN_S, 8);
    let power = |low, high| {
        let split = Split::of(&samples, [low, high]);
        split.rest
    };
    let octave = db(power(1010.0, 2020.0) / power(505.0, 1010.0));
    near("one octave", octave, db(8.0), 0.2);
    let octave = db(power(2020.0, 4040.0) / power(1010.0, 2020.0));
    near("the next octave", octave, db(8.0), 0.2);
}
