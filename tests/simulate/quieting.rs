//! Quieting: noise with no carrier over noise under an unmodulated one.

use crate::air::{Air, filter};
use crate::band::{Split, VOICE_HZ, db};
use crate::correlation::Correlation;
use crate::{near, rice};
use std::f64::consts::PI;
use tailbeat::simulate::dsp::iir::DeEmphasis;
use tailbeat::simulate::dsp::{BLOCK, RATE_HZ, db_to_amplitude};

const RUN_S: f64 = 40.0;

/// Blachman's low-frequency noise leaves out noise times noise: 0.2 dB at 8 to 10 dB (derived
/// beforehand with another program). The quickest clicks are lost at 48 kHz (see `clicks`), up to
/// a quarter of them or 0.4 dB of noise with a carrier and without; chance adds 0.1 dB.
const SLACK_DB: f64 = 0.6;

fn noise(air: Air) -> f64 {
    let split = Split::of(&air.received(RUN_S, 9), VOICE_HZ);
    split.rest + split.tone
}

/// Blachman 1964, IEEE Trans. IT-10(3), 235-241 (the integral seen):
/// `(1/pi^2) int psi'^2 / (1 - psi^2) exp(-2 rho / (1 + psi)) dtau` in Hz^2 per Hz, for each rho.
fn low_frequency_density(correlation: &Correlation, rho: &[f64]) -> Vec<f64> {
    // The filter's own length: beyond it there is no correlation.
    let (reach_s, points) = (BLOCK as f64 / RATE_HZ, 3000);
    let step_s = reach_s / f64::from(points);
    let mut sums = vec![0.0; rho.len()];
    for i in 0..points {
        let (psi, slope) = correlation.at((f64::from(i) + 0.5) * step_s);
        let spread = slope * slope / (1.0 - psi * psi).max(1e-12);
        for (sum, rho) in sums.iter_mut().zip(rho) {
            *sum += spread * (-2.0 * rho / (1.0 + psi)).exp() * step_s / (PI * PI);
        }
    }
    sums
}

#[test]
fn the_quieting_curve_is_blachmans() {
    let cnr_db = [0.0, 2.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0];
    let mut rho = vec![0.0];
    rho.extend(cnr_db.map(|db| db_to_amplitude(db).powi(2)));
    let density = low_frequency_density(&Correlation::of(&filter()), &rho);
    let b = filter().noise_bandwidth_hz();
    // 0.305898 B for a rectangular filter, by the same integral (derived beforehand);
    // edges as soft as these come between it and the Gaussian filter's 0.293996 B or lie near.
    near("density without a carrier", density[0] / b, 0.3059, 0.02);
    // Without a carrier the band's upper end matters: Rice 1948, as in `noise`.
    let silent = noise(Air::NONE);
    let silent_by_theory = 3344.93f64.powi(2) * b / 16_000.0;
    let width = VOICE_HZ[1] - VOICE_HZ[0];
    for ((cnr_db, rho), density) in cnr_db.iter().zip(&rho[1..]).zip(&density[1..]) {
        let under = rice::smooth_noise(*rho, b, VOICE_HZ) + width * density;
        let want = db(silent_by_theory / under);
        let got = db(silent / noise(Air::carrier(*cnr_db)));
        println!("{cnr_db} dB: {got} dB quieting, Blachman {want}");
        near(&format!("at {cnr_db} dB"), got, want, SLACK_DB);
    }
}

/// Noise behind de-emphasis.
fn emphasised(air: Air) -> f64 {
    let mut samples = air.received(RUN_S, 10);
    DeEmphasis::default().run(&mut samples);
    let split = Split::of(&samples, VOICE_HZ);
    split.rest + split.tone
}

#[test]
fn twenty_decibels_of_quieting_come_where_they_should() {
    // Derived beforehand with another program, rectangular filter: 20 dB at 7.82 dB of carrier
    // to noise by flat audio, at 6.30 dB behind 750 us of de-emphasis. Where the curve is 2 to
    // 3 dB a decibel, 0.5 dB of quieting is 0.2 dB of carrier.
    let flat = db(noise(Air::NONE) / noise(Air::carrier(7.82)));
    near("flat", flat, 20.0, 0.5);
    let soft = db(emphasised(Air::NONE) / emphasised(Air::carrier(6.30)));
    near("de-emphasised", soft, 20.0, 0.5);
}
