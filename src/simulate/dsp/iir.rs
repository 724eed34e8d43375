//! Recursive filters: audio bands, emphasis, smoothing.

use super::RATE_HZ;
use std::f64::consts::{FRAC_1_SQRT_2, PI, TAU};

/// One second-order section (transposed direct form 2).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Biquad {
    b: [f64; 3],
    a: [f64; 2],
    s: [f64; 2],
}

impl Biquad {
    const fn new(b: [f64; 3], a: [f64; 2]) -> Self {
        Self { b, a, s: [0.0; 2] }
    }

    /// Second-order low-pass by the bilinear transform.
    #[must_use]
    pub fn low_pass(edge_hz: f64, q: f64) -> Self {
        let (cos, alpha, norm) = prewarp(edge_hz, q);
        let b = (1.0 - cos) / 2.0 * norm;
        Self::new([b, 2.0 * b, b], [-2.0 * cos * norm, (1.0 - alpha) * norm])
    }

    /// Second-order high-pass by the bilinear transform.
    #[must_use]
    pub fn high_pass(edge_hz: f64, q: f64) -> Self {
        let (cos, alpha, norm) = prewarp(edge_hz, q);
        let b = (1.0 + cos) / 2.0 * norm;
        Self::new([b, -2.0 * b, b], [-2.0 * cos * norm, (1.0 - alpha) * norm])
    }

    /// A resonance of gain `db` at its centre, 1 far from it.
    #[must_use]
    pub fn peak(centre_hz: f64, q: f64, db: f64) -> Self {
        let gain = 10f64.powf(db / 40.0);
        let w = TAU * centre_hz.min(RATE_HZ * 0.49) / RATE_HZ;
        let alpha = w.sin() / (2.0 * q);
        let norm = 1.0 / (1.0 + alpha / gain);
        let side = -2.0 * w.cos() * norm;
        Self::new(
            [
                (1.0 + alpha * gain) * norm,
                side,
                (1.0 - alpha * gain) * norm,
            ],
            [side, (1.0 - alpha / gain) * norm],
        )
    }

    /// Two-pole resonator of unit gain at zero frequency, as in formant synthesis.
    #[must_use]
    pub fn resonator(centre_hz: f64, bandwidth_hz: f64) -> Self {
        let mut section = Self::new([0.0; 3], [0.0; 2]);
        section.retune(centre_hz, bandwidth_hz);
        section
    }

    /// Moves a resonator and keeps its memory.
    pub fn retune(&mut self, centre_hz: f64, bandwidth_hz: f64) {
        let r = (-PI * bandwidth_hz / RATE_HZ).exp();
        self.a = [-2.0 * r * (TAU * centre_hz / RATE_HZ).cos(), r * r];
        self.b = [1.0 + self.a[0] + self.a[1], 0.0, 0.0];
    }

    /// One sample.
    #[inline]
    pub fn step(&mut self, x: f64) -> f64 {
        let y = self.b[0] * x + self.s[0];
        self.s[0] = self.b[1] * x - self.a[0] * y + self.s[1];
        self.s[1] = self.b[2] * x - self.a[1] * y;
        y
    }

    /// A run of samples in place.
    pub fn run(&mut self, samples: &mut [f32]) {
        for x in samples {
            *x = self.step(f64::from(*x)) as f32;
        }
    }
}

fn prewarp(edge_hz: f64, q: f64) -> (f64, f64, f64) {
    let w = TAU * edge_hz.min(RATE_HZ * 0.49) / RATE_HZ;
    let alpha = w.sin() / (2.0 * q);
    (w.cos(), alpha, 1.0 / (1.0 + alpha))
}

/// A chain of sections.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain(Vec<Biquad>);

/// Q of the sections of a fourth-order Butterworth filter: `1 / (2 cos(pi/8))` and
/// `1 / (2 cos(3 pi/8))`.
const BUTTERWORTH_4: [f64; 2] = [0.541_196_100_146_197, 1.306_562_964_876_376_5];

impl Chain {
    /// Butterworth band: second-order high-pass (none for 0), fourth-order low-pass.
    #[must_use]
    pub fn band(low_hz: f64, high_hz: f64) -> Self {
        let mut chain = Vec::new();
        if low_hz > 0.0 {
            chain.push(Biquad::high_pass(low_hz, FRAC_1_SQRT_2));
        }
        chain.extend(BUTTERWORTH_4.map(|q| Biquad::low_pass(high_hz, q)));
        Self(chain)
    }

    /// Fourth-order Butterworth at both ends.
    #[must_use]
    pub fn steep_band(low_hz: f64, high_hz: f64) -> Self {
        let mut chain: Vec<_> = BUTTERWORTH_4.map(|q| Biquad::high_pass(low_hz, q)).into();
        chain.extend(BUTTERWORTH_4.map(|q| Biquad::low_pass(high_hz, q)));
        Self(chain)
    }

    /// Any sections.
    #[must_use]
    pub fn of(sections: Vec<Biquad>) -> Self {
        Self(sections)
    }

    /// A run of samples in place.
    pub fn run(&mut self, samples: &mut [f32]) {
        for section in &mut self.0 {
            section.run(samples);
        }
    }
}

/// Time constant of land-mobile emphasis: 750 us, corner 212.2 Hz (second-hand: common in code
/// and service literature).
pub const EMPHASIS_S: f64 = 750e-6;

/// De-emphasis: a one-pole low-pass of [`EMPHASIS_S`], gain 1 at 1 kHz.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeEmphasis {
    b: f64,
    a: f64,
    y: f64,
    x: f64,
}

impl Default for DeEmphasis {
    fn default() -> Self {
        // Bilinear; the corner lies so low that warping at 3 kHz is below 0.1 dB.
        let k = 2.0 * RATE_HZ * EMPHASIS_S;
        let unity = (1.0 + (TAU * 1000.0 * EMPHASIS_S).powi(2)).sqrt();
        Self {
            b: unity / (1.0 + k),
            a: (1.0 - k) / (1.0 + k),
            y: 0.0,
            x: 0.0,
        }
    }
}

impl DeEmphasis {
    /// A run of samples in place.
    pub fn run(&mut self, samples: &mut [f32]) {
        for x in samples {
            let input = f64::from(*x);
            self.y = self.b * (input + self.x) - self.a * self.y;
            self.x = input;
            *x = self.y as f32;
        }
    }
}

/// Pre-emphasis: `x + tau dx/dt` with gain 1 at 1 kHz.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PreEmphasis {
    gain: f64,
    x: f64,
}

impl Default for PreEmphasis {
    fn default() -> Self {
        Self {
            gain: 1.0 / (1.0 + (TAU * 1000.0 * EMPHASIS_S).powi(2)).sqrt(),
            x: 0.0,
        }
    }
}

impl PreEmphasis {
    /// A run of samples in place.
    pub fn run(&mut self, samples: &mut [f32]) {
        for x in samples {
            let input = f64::from(*x);
            let slope = (input - self.x) * RATE_HZ;
            self.x = input;
            *x = (self.gain * (input + EMPHASIS_S * slope)) as f32;
        }
    }
}

/// Share of the way that a one-pole smoother goes in `step_s` with time constant `tau_s`.
#[must_use]
pub fn smoothing(step_s: f64, tau_s: f64) -> f64 {
    if tau_s <= 0.0 {
        1.0
    } else {
        1.0 - (-step_s / tau_s).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::{Chain, DeEmphasis, PreEmphasis};
    use crate::simulate::dsp::RATE_HZ;
    use std::f64::consts::TAU;

    /// Gain in dB at one frequency by running a tone through.
    fn gain_db(hz: f64, mut run: impl FnMut(&mut [f32])) -> f64 {
        let n = 48_000;
        let mut tone: Vec<f32> = (0..n)
            .map(|i| (TAU * hz * f64::from(i) / RATE_HZ).sin() as f32)
            .collect();
        run(&mut tone);
        let ms: f64 = tone[24_000..]
            .iter()
            .map(|x| f64::from(*x).powi(2))
            .sum::<f64>()
            / 24_000.0;
        10.0 * (ms * 2.0).log10()
    }

    #[test]
    fn de_emphasis_follows_its_one_pole_law() {
        // 1/(1+(2 pi f tau)^2) with 750 us relative to 1 kHz (derived).
        for (hz, db) in [
            (300.0, 8.8869),
            (500.0, 5.4926),
            (1000.0, 0.0),
            (2000.0, -5.8779),
            (3000.0, -9.3728),
        ] {
            let got = gain_db(hz, |x| DeEmphasis::default().run(x));
            assert!((got - db).abs() < 0.15, "{hz} Hz: {got} dB instead of {db}");
        }
    }

    #[test]
    fn emphasis_there_and_back_is_flat() {
        for hz in [300.0, 1000.0, 2500.0] {
            let got = gain_db(hz, |x| {
                PreEmphasis::default().run(x);
                DeEmphasis::default().run(x);
            });
            assert!(got.abs() < 0.3, "{hz} Hz: {got} dB");
        }
    }

    #[test]
    fn bands_have_their_half_power_edges() {
        for hz in [300.0, 3000.0] {
            let got = gain_db(hz, |x| Chain::steep_band(300.0, 3000.0).run(x));
            assert!((got + 3.01).abs() < 0.1, "{hz} Hz: {got} dB");
        }
        assert!(gain_db(6000.0, |x| Chain::band(300.0, 3000.0).run(x)) < -23.0);
    }
}
