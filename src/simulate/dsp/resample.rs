//! Change of rate with proper anti-aliasing, for any ratio and for clocks that wander.

use std::f64::consts::PI;

/// Lobes of the windowed sinc on either side.
const LOBES: usize = 16;

/// Table entries per lobe; linear interpolation between them stays below -90 dB.
const FINE: usize = 512;

/// Share of the lower Nyquist frequency that is passed.
const PASS: f64 = 0.92;

/// Reads a signal at arbitrary moments.
#[derive(Debug, Clone)]
pub struct Resampler {
    table: Vec<f32>,
    /// Input samples per lobe.
    stretch: f64,
}

impl Resampler {
    /// For reading a signal of `from_hz` about `to_hz` times a second.
    #[must_use]
    pub fn new(from_hz: f64, to_hz: f64) -> Self {
        let stretch = (from_hz / (to_hz * PASS)).max(1.0);
        let count = LOBES * FINE + 2;
        let table = (0..count)
            .map(|i| {
                let x = i as f64 / FINE as f64;
                let sinc = if i == 0 {
                    1.0
                } else {
                    (PI * x).sin() / (PI * x)
                };
                // Blackman window over the lobes (coefficients from memory; -58 dB sidelobes).
                let w = (x / LOBES as f64).min(1.0);
                let window = 0.42 + 0.5 * (PI * w).cos() + 0.08 * (2.0 * PI * w).cos();
                (sinc * window / stretch) as f32
            })
            .collect();
        Self { table, stretch }
    }

    /// The band-limited signal at `position`, counted in input samples; zero outside.
    #[must_use]
    pub fn at(&self, signal: &[f32], position: f64) -> f32 {
        let reach = LOBES as f64 * self.stretch;
        let first = ((position - reach).ceil().max(0.0)) as usize;
        let last = (position + reach).floor().min(signal.len() as f64 - 1.0);
        if last < first as f64 {
            return 0.0;
        }
        let step = FINE as f64 / self.stretch;
        let mut sum = 0.0f32;
        for (i, x) in signal[first..=last as usize].iter().enumerate() {
            let at = ((first + i) as f64 - position).abs() * step;
            let index = at as usize;
            let between = (at - index as f64) as f32;
            let (a, b) = (self.table[index], self.table[index + 1]);
            sum += x * (a + between * (b - a));
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::Resampler;
    use std::f64::consts::TAU;

    fn tone(hz: f64) -> Vec<f32> {
        (0..48_000)
            .map(|i| (TAU * hz * f64::from(i) / 48_000.0).sin() as f32)
            .collect()
    }

    #[test]
    fn passes_what_fits_and_stops_what_does_not() {
        for (to, hz, expected) in [
            (8000.0, 1000.0, 1.0),
            (8000.0, 5000.0, 0.0),
            (44_100.0, 15_000.0, 1.0),
        ] {
            let resampler = Resampler::new(48_000.0, to);
            let signal = tone(hz);
            let mut worst = 0.0f64;
            for n in 1000..3000 {
                let t = f64::from(n) / to;
                let exact = expected * (TAU * hz * t).sin();
                worst = worst.max((f64::from(resampler.at(&signal, t * 48_000.0)) - exact).abs());
            }
            assert!(worst < 2e-3, "{hz} Hz at {to}: {worst}");
        }
    }
}
