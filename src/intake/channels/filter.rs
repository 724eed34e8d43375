//! Second-order filters, enough to split speech from rumble and from what lies above it.

use crate::units::{Hertz, SampleRate};

/// One second-order section (bilinear transform of a Butterworth filter).
#[derive(Debug, Clone, Copy)]
pub(super) struct Section {
    b: [f64; 3],
    a: [f64; 2],
    state: [f64; 2],
}

impl Section {
    /// Passes below `corner`.
    pub fn low_pass(corner: Hertz, rate: SampleRate) -> Self {
        let (k, norm) = Self::terms(corner, rate);
        Self::with([k * k * norm, 2.0 * k * k * norm, k * k * norm], k, norm)
    }

    /// Passes above `corner`.
    pub fn high_pass(corner: Hertz, rate: SampleRate) -> Self {
        let (k, norm) = Self::terms(corner, rate);
        Self::with([norm, -2.0 * norm, norm], k, norm)
    }

    fn terms(corner: Hertz, rate: SampleRate) -> (f64, f64) {
        let k = (std::f64::consts::PI * corner.0 / f64::from(rate.hz())).tan();
        (k, 1.0 / (1.0 + std::f64::consts::SQRT_2 * k + k * k))
    }

    fn with(b: [f64; 3], k: f64, norm: f64) -> Self {
        let a = [
            2.0 * (k * k - 1.0) * norm,
            (1.0 - std::f64::consts::SQRT_2 * k + k * k) * norm,
        ];
        Self {
            b,
            a,
            state: [0.0; 2],
        }
    }

    /// The next sample.
    pub fn next(&mut self, x: f64) -> f64 {
        let y = self.b[0] * x + self.state[0];
        self.state[0] = self.b[1] * x - self.a[0] * y + self.state[1];
        self.state[1] = self.b[2] * x - self.a[1] * y;
        y
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gain_db(mut section: Section, tone_hz: f64) -> f64 {
        let mut power = 0.0;
        for index in 0..16_000 {
            let x = (std::f64::consts::TAU * tone_hz * f64::from(index) / 8_000.0).sin();
            let y = section.next(x);
            power += if index >= 8_000 { y * y } else { 0.0 };
        }
        10.0 * (power / 4_000.0).log10()
    }

    #[test]
    fn corners_are_at_half_power_and_the_stop_side_falls_by_twelve_decibels() {
        let rate = SampleRate::new(8_000).expect("rate");
        let low = Section::low_pass(Hertz(300.0), rate);
        let high = Section::high_pass(Hertz(300.0), rate);
        assert!((gain_db(low, 300.0) + 3.01).abs() < 0.1);
        assert!((gain_db(high, 300.0) + 3.01).abs() < 0.1);
        assert!(gain_db(low, 100.0).abs() < 0.1 && gain_db(low, 1_200.0) < -23.0);
        assert!(gain_db(high, 1_200.0).abs() < 0.1 && gain_db(high, 75.0) < -23.0);
    }
}
