//! What leaves the acoustics.

use crate::units::{Hertz, Instant, SampleRate, Seconds};
use serde::{Deserialize, Serialize};

/// Features of about 5 ms of sound; levels in dBFS.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Frame {
    /// Power of everything but DC.
    pub level_db: f32,
    /// Power of the sub-audible band, below 260 Hz.
    pub low_db: f32,
    /// Power of 300 Hz to the end of the pass band.
    pub voice_db: f32,
    /// Power of the upper part of the pass band, where noise stands out above speech.
    pub hiss_db: f32,
    /// Spectral flatness over the pass band: 0 dB is white, -20 dB and below tonal or voiced.
    pub flatness_db: f32,
    /// Share of pass-band power in the strongest spectral line, 0 to 1.
    pub tonality: f32,
    /// Frequency of that line.
    pub peak_hz: f32,
    /// Largest absolute sample.
    pub peak: f32,
}

/// A run of frames with the decimated sound that they were made of.
#[derive(Debug, Clone)]
pub struct FrameBlock {
    /// Time of the centre of the first frame.
    pub start: Instant,
    /// Time from frame to frame.
    pub period: Seconds,
    /// The frames.
    pub frames: Vec<Frame>,
    /// Time of the first sample of `audio`.
    pub audio_start: Instant,
    /// Rate of `audio`.
    pub audio_rate: SampleRate,
    /// Sound at the analysis rate (8 to 16 kHz).
    pub audio: Vec<f32>,
}

/// A picture's worth of the whole recording, of bounded size whatever its length.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Strip {
    /// Width of one column.
    pub column: Seconds,
    /// Edges of the spectrogram's bands: one more than bands.
    pub band_edges: Vec<Hertz>,
    /// The columns in order of time.
    pub columns: Vec<StripColumn>,
}

/// One column of a [`Strip`]; levels in dBFS.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StripColumn {
    /// Highest level of a frame.
    pub max_db: f32,
    /// Mean power.
    pub mean_db: f32,
    /// Mean power in each band.
    pub bands_db: Vec<f32>,
}
