//! Rice's theory of noise behind a discriminator, written out from the sources named beside each
//! formula; nothing here comes from the simulator.

use statrs::function::erf::{erf, erfc};
use std::f64::consts::TAU;

/// Clicks a second, both signs: `r erfc(sqrt rho)`, r the rms radius of the noise's spectrum.
/// Rice, "Noise in FM receivers", in Rosenblatt (ed.), Time Series Analysis, 1963 (from memory).
pub fn clicks_per_s(rho: f64, r_hz: f64) -> f64 {
    r_hz * erfc(rho.sqrt())
}

/// The same while the carrier lies `offset_hz` beside the middle (Rice 1963, from memory).
fn clicks_at(rho: f64, r_hz: f64, offset_hz: f64) -> f64 {
    let a = offset_hz.abs() / r_hz;
    let wide = 1.0 + a * a;
    r_hz * (wide.sqrt() * erfc((rho * wide).sqrt()) + a * (-rho).exp() * erf(a * rho.sqrt()))
}

/// The same averaged over a tone of peak deviation `deviation_hz`.
pub fn clicks_toned_per_s(rho: f64, r_hz: f64, deviation_hz: f64) -> f64 {
    let points = 720;
    (0..points)
        .map(|i| {
            let turn = TAU * (f64::from(i) + 0.5) / f64::from(points);
            clicks_at(rho, r_hz, deviation_hz * turn.cos())
        })
        .sum::<f64>()
        / f64::from(points)
}

/// Share of the modulation's amplitude that is left: `1 - exp(-rho)` (Rice; Blachman 1964,
/// abstract seen).
pub fn tone_left(rho: f64) -> f64 {
    1.0 - (-rho).exp()
}

/// Smooth noise in a band: `(1 - e^-rho)^2 (f2^3 - f1^3) / (3 rho B)` (any text on FM, from
/// memory; the suppression as above).
pub fn smooth_noise(rho: f64, bandwidth_hz: f64, [low, high]: [f64; 2]) -> f64 {
    tone_left(rho).powi(2) * (high.powi(3) - low.powi(3)) / (3.0 * rho * bandwidth_hz)
}

/// Signal over noise of a tone: smooth noise, and clicks as impulses of one turn each.
pub fn snr(
    rho: f64,
    clicks_per_s: f64,
    bandwidth_hz: f64,
    deviation_hz: f64,
    band: [f64; 2],
) -> f64 {
    let signal = (tone_left(rho) * deviation_hz).powi(2) / 2.0;
    let clicks = 2.0 * clicks_per_s * (band[1] - band[0]);
    signal / (smooth_noise(rho, bandwidth_hz, band) + clicks)
}

/// Radius of a rectangular filter of 16 kHz: `B / sqrt 12`.
const RECTANGULAR_R_HZ: f64 = 4618.80;

#[test]
fn the_formulas_give_their_published_values() {
    // Rice 1963 for a rectangular filter of 16 kHz, without and with a tone of 3 kHz deviation
    // (values computed beforehand with numpy 2.4.6, scipy 1.17.1).
    for (cnr_db, plain, toned) in [
        (0.0, 726.534, 977.930),
        (2.0, 346.468, 503.591),
        (4.0, 115.478, 185.856),
        (6.0, 22.0621, 40.4156),
        (8.0, 1.763_53, 3.776_47),
    ] {
        let rho = 10f64.powf(cnr_db / 10.0);
        let got = clicks_per_s(rho, RECTANGULAR_R_HZ);
        crate::near("clicks", got / plain, 1.0, 1e-4);
        let got = clicks_toned_per_s(rho, RECTANGULAR_R_HZ, 3000.0);
        crate::near("clicks with a tone", got / toned, 1.0, 1e-4);
    }
    for (cnr_db, snr_db) in [(0.0, -4.86), (4.0, 5.03), (6.0, 10.88), (10.0, 19.00)] {
        let rho = 10f64.powf(cnr_db / 10.0);
        let clicks = clicks_toned_per_s(rho, RECTANGULAR_R_HZ, 3000.0);
        let got = snr(rho, clicks, 16_000.0, 3000.0, [300.0, 3000.0]);
        crate::near("signal over noise", 10.0 * got.log10(), snr_db, 0.01);
    }
}
