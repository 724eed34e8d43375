//! Frames to what the network sees: levels relative to the run's own loud moments, so that gain
//! and colour of the chain fall away.

use crate::acoustics::frames::{BANDS, Frame};
use crate::statistics::quantiles::select_f32;

/// Values for each frame: bands, sub-audible level, level, crest, tonality.
pub const FEATURES: usize = BANDS + 4;
/// Values for the whole run: range of each level, colour of the bands.
pub const STATIC: usize = LEVELS + BANDS;
/// Levels of a frame.
const LEVELS: usize = BANDS + 2;
/// Decibels for one unit.
const UNIT_DB: f32 = 10.0;

/// Features of each frame and of the run.
pub fn features(frames: &[Frame]) -> (Vec<[f32; FEATURES]>, [f32; STATIC]) {
    let levels = |f: &Frame, l: usize| match l {
        l if l < BANDS => f.bands_db[l],
        BANDS => f.low_db,
        _ => f.level_db,
    };
    let high: [f32; LEVELS] =
        std::array::from_fn(|l| select_f32(frames.iter().map(|f| levels(f, l)), 0.9));
    let low: [f32; LEVELS] =
        std::array::from_fn(|l| select_f32(frames.iter().map(|f| levels(f, l)), 0.1));
    let rows = frames
        .iter()
        .map(|f| {
            let mut row = [0.0f32; FEATURES];
            for (l, slot) in row[..LEVELS].iter_mut().enumerate() {
                *slot = ((levels(f, l) - high[l]) / UNIT_DB).clamp(-6.0, 2.0);
            }
            let peak_db = 20.0 * f.peak.max(1e-6).log10();
            row[LEVELS] = ((peak_db - f.level_db) / UNIT_DB).clamp(-1.0, 3.0);
            row[LEVELS + 1] = 2.0 * f.tonality;
            row
        })
        .collect();
    let colour = high[..BANDS].iter().sum::<f32>() / BANDS as f32;
    let mut fixed = [0.0f32; STATIC];
    for l in 0..LEVELS {
        fixed[l] = ((high[l] - low[l]) / UNIT_DB).clamp(0.0, 6.0);
    }
    for b in 0..BANDS {
        fixed[LEVELS + b] = ((high[b] - colour) / UNIT_DB).clamp(-4.0, 4.0);
    }
    (rows, fixed)
}
