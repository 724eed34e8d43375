//! Writes a rendering, or one clip of it, as the WAV file that its scenario asks for.

use crate::error::{Error, Result};
use crate::simulate::Rendering;
use hound::{SampleFormat, WavSpec, WavWriter};
use std::ops::Range;
use std::path::Path;

/// Writes all of a rendering.
pub fn write(rendering: &Rendering, path: &Path) -> Result<()> {
    let frames = rendering.samples.len() / usize::from(rendering.channels.max(1));
    write_frames(rendering, 0..frames, path)
}

/// Writes these sample frames of a rendering, in integer samples of its own depth.
pub fn write_frames(rendering: &Rendering, frames: Range<usize>, path: &Path) -> Result<()> {
    let failed = |error: hound::Error| {
        let source = match error {
            hound::Error::IoError(error) => error,
            other => std::io::Error::other(other),
        };
        Error::io(path.display().to_string(), source)
    };
    let spec = WavSpec {
        channels: rendering.channels,
        sample_rate: rendering.rate.hz(),
        bits_per_sample: rendering.bits,
        sample_format: SampleFormat::Int,
    };
    let full = f64::from((1u32 << (rendering.bits - 1)) - 1);
    let channels = usize::from(rendering.channels);
    let samples = &rendering.samples[frames.start * channels..frames.end * channels];
    let mut writer = WavWriter::create(path, spec).map_err(failed)?;
    for sample in samples {
        let level = (f64::from(*sample).clamp(-1.0, 1.0) * full).round() as i32;
        writer.write_sample(level).map_err(failed)?;
    }
    writer.finalize().map_err(failed)
}
