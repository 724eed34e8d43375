//! Change of rate with proper anti-aliasing, for any ratio and for clocks that wander.

use std::f64::consts::PI;

/// Lobes of the windowed sinc on either side.
const LOBES: usize = 16;

/// Table entries per lobe; linear interpolation between them stays below -90 dB.
const FINE: usize = 512;

/// Share of the lower Nyquist frequency that is passed.
const PASS: f64 = 0.92;

/// Products that are summed side by side: the compiler makes wide registers of them.
const LANES: usize = 16;

/// Reads a signal at arbitrary moments.
#[derive(Debug, Clone)]
pub struct Resampler {
    /// One row of taps for each fraction of an input sample, and one more for the whole sample.
    rows: Vec<f32>,
    /// Taps of a row.
    taps: usize,
    /// Input samples from a row's first tap to the whole sample that is read about.
    reach: usize,
    /// Fractions of an input sample that have a row.
    fractions: usize,
}

impl Resampler {
    /// For reading a signal of `from_hz` about `to_hz` times a second.
    #[must_use]
    pub fn new(from_hz: f64, to_hz: f64) -> Self {
        // Input samples per lobe.
        let stretch = (from_hz / (to_hz * PASS)).max(1.0);
        let fractions = (FINE as f64 / stretch).ceil() as usize;
        let reach = (LOBES as f64 * stretch).ceil() as usize;
        // Zeros beyond the last lobe fill a row up to whole lanes.
        let taps = (2 * reach + 2).next_multiple_of(LANES);
        let rows = (0..=fractions)
            .flat_map(|row| {
                let centre = reach as f64 + row as f64 / fractions as f64;
                (0..taps).map(move |tap| kernel((tap as f64 - centre) / stretch, stretch))
            })
            .collect();
        Self {
            rows,
            taps,
            reach,
            fractions,
        }
    }

    /// The band-limited signal at `position`, counted in input samples; zero outside.
    #[must_use]
    pub fn at(&self, signal: &[f32], position: f64) -> f32 {
        let whole = position.floor();
        let row = (position - whole) * self.fractions as f64;
        let between = row.fract() as f32;
        let row = row as usize * self.taps;
        let (low, high) = self.rows[row..row + 2 * self.taps].split_at(self.taps);
        let first = whole as i64 - self.reach as i64;
        let from = first.max(0);
        let to = (first + self.taps as i64).min(signal.len() as i64);
        if to <= from {
            return 0.0;
        }
        let heard = &signal[from as usize..to as usize];
        let skipped = (from - first) as usize;
        let used = skipped..skipped + heard.len();
        product(heard, &low[used.clone()], &high[used], between)
    }
}

/// The windowed sinc at `lobe`, for a sum over `stretch` input samples a lobe.
fn kernel(lobe: f64, stretch: f64) -> f32 {
    let x = lobe.abs();
    if x >= LOBES as f64 {
        return 0.0;
    }
    let sinc = if x == 0.0 {
        1.0
    } else {
        (PI * x).sin() / (PI * x)
    };
    // Blackman window over the lobes (coefficients from memory; -58 dB sidelobes).
    let w = x / LOBES as f64;
    let window = 0.42 + 0.5 * (PI * w).cos() + 0.08 * (2.0 * PI * w).cos();
    (sinc * window / stretch) as f32
}

/// Sum of the samples, each times its tap `between` two rows.
fn product(samples: &[f32], low: &[f32], high: &[f32], between: f32) -> f32 {
    let tap = |low: f32, high: f32| low + between * (high - low);
    let mut sums = [0.0f32; LANES];
    let (mut lows, mut highs) = (low.chunks_exact(LANES), high.chunks_exact(LANES));
    let mut parts = samples.chunks_exact(LANES);
    for ((part, low), high) in (&mut parts).zip(&mut lows).zip(&mut highs) {
        for (i, sum) in sums.iter_mut().enumerate() {
            *sum += part[i] * tap(low[i], high[i]);
        }
    }
    let rest = parts.remainder().iter();
    let rest = rest.zip(lows.remainder()).zip(highs.remainder());
    sums.iter().sum::<f32>() + rest.map(|((x, a), b)| x * tap(*a, *b)).sum::<f32>()
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
