//! Power in a band and at a line, by one transform over everything.

use realfft::RealFftPlanner;
use tailbeat::simulate::dsp::RATE_HZ;

/// The voice band of all checks here.
pub const VOICE_HZ: [f64; 2] = [300.0, 3000.0];

/// Power at the line of 1 kHz, and of all other lines of the band, in the samples' unit squared.
pub struct Split {
    pub tone: f64,
    pub rest: f64,
}

impl Split {
    /// `samples` at the scene's rate hold whole periods of 1 kHz.
    pub fn of(samples: &[f32], [low, high]: [f64; 2]) -> Self {
        let n = samples.len();
        assert_eq!(n % 48, 0, "whole periods only");
        let mut input: Vec<f64> = samples.iter().map(|x| f64::from(*x)).collect();
        let transform = RealFftPlanner::new().plan_fft_forward(n);
        let mut lines = transform.make_output_vec();
        transform.process(&mut input, &mut lines).unwrap();
        let mut split = Self {
            tone: 0.0,
            rest: 0.0,
        };
        let line_hz = RATE_HZ / n as f64;
        for (k, line) in lines.iter().enumerate() {
            let hz = k as f64 * line_hz;
            // Both halves of the spectrum.
            let power = 2.0 * line.norm_sqr() / (n as f64).powi(2);
            if k == n / 48 {
                split.tone += power;
            } else if (low..=high).contains(&hz) {
                split.rest += power;
            }
        }
        split
    }

    pub fn snr_db(&self) -> f64 {
        db(self.tone / self.rest)
    }
}

/// Ratio of powers to dB.
pub fn db(ratio: f64) -> f64 {
    10.0 * ratio.log10()
}
