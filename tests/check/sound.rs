//! Committed recordings as samples, to be changed and checked again.

use std::path::{Path, PathBuf};
use tailbeat::check::{Check, CheckOptions, check_file};
use tailbeat::intake;

/// A committed recording's file.
pub fn committed(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("corpus/recordings")
        .join(name)
}

/// Samples of one channel with their rate.
#[derive(Clone)]
pub struct Sound {
    pub rate_hz: u32,
    pub samples: Vec<f32>,
}

impl Sound {
    /// A committed recording, decoded.
    pub fn of(name: &str) -> Self {
        let mut recording = intake::open(&committed(name)).unwrap();
        let rate_hz = recording.rate().hz();
        let mut samples = Vec::new();
        while let Some(block) = recording.next_block().unwrap() {
            samples.extend_from_slice(block.samples);
        }
        Self { rate_hz, samples }
    }

    /// Index of a moment.
    pub fn at(&self, t_s: f64) -> usize {
        (t_s * f64::from(self.rate_hz)).round() as usize
    }

    /// The check of these samples as a WAV file of floats.
    pub fn check(&self) -> Check {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("sound.wav");
        let spec = hound::WavSpec {
            channels: 1,
            sample_rate: self.rate_hz,
            bits_per_sample: 32,
            sample_format: hound::SampleFormat::Float,
        };
        let mut writer = hound::WavWriter::create(&path, spec).unwrap();
        for sample in &self.samples {
            writer.write_sample(*sample).unwrap();
        }
        writer.finalize().unwrap();
        check_file(&path, &CheckOptions::default(), &mut |_| {}).unwrap()
    }

    /// At another rate, by a windowed sinc: 32 zeros to either side, cut at the lower of the two
    /// rates' halves.
    pub fn at_rate(&self, rate_hz: u32) -> Self {
        const ZEROS: f64 = 32.0;
        let step = f64::from(self.rate_hz) / f64::from(rate_hz);
        // A little inside, as every converter's filter.
        let cutoff = 0.95 * f64::min(1.0, 1.0 / step);
        let reach = ZEROS / cutoff;
        let count = (self.samples.len() as f64 / step) as usize;
        let samples = (0..count).map(|n| {
            let t = n as f64 * step;
            let from = (t - reach).ceil().max(0.0) as usize;
            let to = ((t + reach) as usize).min(self.samples.len() - 1);
            let sum: f64 = (from..=to)
                .map(|i| {
                    let x = i as f64 - t;
                    let taper = (0.5 * std::f64::consts::PI * x / reach).cos().powi(2);
                    f64::from(self.samples[i]) * cutoff * sinc(cutoff * x) * taper
                })
                .sum();
            sum as f32
        });
        Self {
            rate_hz,
            samples: samples.collect(),
        }
    }
}

fn sinc(x: f64) -> f64 {
    let y = std::f64::consts::PI * x;
    if y.abs() < 1e-9 { 1.0 } else { y.sin() / y }
}
