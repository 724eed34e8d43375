//! What leaves the acoustics.

use crate::units::{Hertz, Instant, SampleRate, Seconds};
use serde::{Deserialize, Serialize};

/// Number of bands in [`Frame::bands_db`].
pub const BANDS: usize = 6;

/// Edges of the bands of [`Frame::bands_db`] in hertz. They start above the highest CTCSS tone
/// and its spectral skirt, so that a sub-audible tone never counts as noise or speech.
pub const BAND_EDGES_HZ: [f64; BANDS + 1] = [400.0, 800.0, 1200.0, 1700.0, 2250.0, 2850.0, 3500.0];

/// Features of about 5 ms of sound; levels in dBFS.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Frame {
    /// Power of everything above about 50 Hz.
    pub level_db: f32,
    /// Power of the sub-audible band, 60 to 260 Hz.
    pub low_db: f32,
    /// Power *density* in each band, as the mean power of an analysis line.
    pub bands_db: [f32; BANDS],
    /// Share of the power above 300 Hz in the strongest spectral line, 0 to 1.
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

impl FrameBlock {
    /// Time of the centre of frame `index`.
    #[must_use]
    pub fn time_of(&self, index: usize) -> Instant {
        self.start + self.period * index as f64
    }

    /// The frame whose centre is nearest to `t`, clamped to the block.
    #[must_use]
    pub fn index_of(&self, t: Instant) -> usize {
        let index = ((t - self.start).get() / self.period.get())
            .round()
            .max(0.0);
        (index as usize).min(self.frames.len().saturating_sub(1))
    }

    /// The samples from `from` to `to`, clamped to the block.
    #[must_use]
    pub fn audio_between(&self, from: Instant, to: Instant) -> &[f32] {
        let rate = f64::from(self.audio_rate.hz());
        let clamp = |t: Instant| {
            (((t - self.audio_start).get() * rate).round().max(0.0) as usize).min(self.audio.len())
        };
        let (a, b) = (clamp(from), clamp(to));
        &self.audio[a.min(b)..b]
    }
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
