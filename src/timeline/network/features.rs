//! Frames to what the network sees: levels relative to the run's own loud moments, so that gain
//! and colour of the chain fall away.

use crate::acoustics::frames::{BANDS, Frame};
use crate::statistics::quantiles::select_in_f32;

/// Values for each frame: bands, sub-audible level, level, crest, tonality.
pub const FEATURES: usize = BANDS + 4;
/// Values for the whole run: range of each level, colour of the bands.
pub const STATIC: usize = LEVELS + BANDS;
/// Levels of a frame.
const LEVELS: usize = BANDS + 2;
/// Decibels for one unit.
const UNIT_DB: f32 = 10.0;

/// A run's own loud moments, by which its frames are measured.
pub struct Scale {
    high: [f32; LEVELS],
}

fn level(f: &Frame, l: usize) -> f32 {
    match l {
        l if l < BANDS => f.bands_db[l],
        BANDS => f.low_db,
        _ => f.level_db,
    }
}

/// Learns a run's scale, and the features of the run itself.
pub fn learn(frames: &[Frame]) -> (Scale, [f32; STATIC]) {
    let (mut high, mut low) = ([0.0f32; LEVELS], [0.0f32; LEVELS]);
    let mut levels = Vec::with_capacity(frames.len());
    for l in 0..LEVELS {
        levels.clear();
        levels.extend(frames.iter().map(|f| level(f, l)));
        high[l] = select_in_f32(&mut levels, 0.9);
        low[l] = select_in_f32(&mut levels, 0.1);
    }
    let colour = high[..BANDS].iter().sum::<f32>() / BANDS as f32;
    let mut fixed = [0.0f32; STATIC];
    for l in 0..LEVELS {
        fixed[l] = ((high[l] - low[l]) / UNIT_DB).clamp(0.0, 6.0);
    }
    for b in 0..BANDS {
        fixed[LEVELS + b] = ((high[b] - colour) / UNIT_DB).clamp(-4.0, 4.0);
    }
    (Scale { high }, fixed)
}

impl Scale {
    /// Features of one frame.
    pub fn features(&self, f: &Frame) -> [f32; FEATURES] {
        let mut row = [0.0f32; FEATURES];
        for (l, slot) in row[..LEVELS].iter_mut().enumerate() {
            *slot = ((level(f, l) - self.high[l]) / UNIT_DB).clamp(-6.0, 2.0);
        }
        let peak_db = 20.0 * f.peak.max(1e-6).log10();
        row[LEVELS] = ((peak_db - f.level_db) / UNIT_DB).clamp(-1.0, 3.0);
        row[LEVELS + 1] = 2.0 * f.tonality;
        row
    }
}
