//! Small recordings to feed to the program, made here and without its simulator.

use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Samples a second.
pub const RATE: u32 = 8000;

/// A folder that goes away with the test.
pub fn folder() -> TempDir {
    tempfile::tempdir().unwrap()
}

/// Noise that is the same on every run, -1 to 1.
fn noise(state: &mut u32) -> f32 {
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    (f64::from(*state) / f64::from(u32::MAX) * 2.0 - 1.0) as f32
}

/// An open squelch: hiss, with a quiet carrier of 2.4 s every 3 s.
pub fn beat(dir: &Path, name: &str, seconds: u32) -> PathBuf {
    let path = dir.join(name);
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: RATE,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(&path, spec).unwrap();
    let mut state = 0x1234_5678;
    for n in 0..seconds * RATE {
        let within = n % (3 * RATE);
        let level = if within < RATE * 24 / 10 { 0.004 } else { 0.35 };
        let sample = level * noise(&mut state);
        writer.write_sample((sample * 32_767.0) as i16).unwrap();
    }
    writer.finalize().unwrap();
    path
}

/// Text that calls itself a recording.
pub fn no_recording(dir: &Path, name: &str) -> PathBuf {
    let path = dir.join(name);
    std::fs::write(&path, "these are words\n".repeat(200)).unwrap();
    path
}
