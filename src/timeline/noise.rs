//! What unquieted noise sounds like here, learnt from the frames that the network takes for it,
//! and every frame relative to it. Gain, band width and spectrum of the listener's chain are
//! unknown beforehand.

use super::network::Heard;
use super::roles::Role;
use crate::acoustics::frames::{BANDS, Frame};
use crate::statistics::quantiles::select_f32;
use crate::tuning::timeline as tuning;

/// Levels of unquieted noise in each band, dBFS.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Noise {
    /// Of the repeater's receiver, through its transmitter.
    repeater: [f32; BANDS],
    /// Of the listener's own set.
    listener: [f32; BANDS],
    /// Bands within the pass band, from the lowest.
    pub used: usize,
    /// Neither was heard: loud moments stand in.
    pub guessed: bool,
}

/// A frame relative to unquieted noise, dB.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Relative {
    /// Mean of the two lowest bands: noise cannot be stronger than this.
    pub low: f32,
    /// Mean of the two highest bands.
    pub high: f32,
}

/// Which noise is the reference.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whose {
    /// The repeater's receiver.
    Repeater,
    /// The listener's set.
    Listener,
}

impl Noise {
    /// Learns from a block as it was heard. `open` tells that the listener's set hisses without a
    /// carrier.
    pub fn learn(frames: &[Frame], heard: &Heard, open: bool) -> Self {
        let used = pass_band(frames);
        let of = |sure: &dyn Fn(usize) -> bool| -> Option<[f32; BANDS]> {
            let taken: Vec<&Frame> = (0..frames.len())
                .filter(|i| sure(*i))
                .map(|i| &frames[i])
                .collect();
            (taken.len() >= tuning::NOISE_FRAMES_MIN).then(|| {
                std::array::from_fn(|b| select_f32(taken.iter().map(|f| f.bands_db[b]), 0.5))
            })
        };
        let least = tuning::NOISE_SURE.ln();
        let sure = |i: usize, role: Role| heard.log_chances[i][role as usize] > least;
        let repeater = of(&|i| sure(i, Role::RepeaterBurst));
        let listener = of(&|i| sure(i, Role::ListenerBurst) || open && sure(i, Role::Off));
        let guess = || {
            let loud: [f32; BANDS] =
                std::array::from_fn(|b| select_f32(frames.iter().map(|f| f.bands_db[b]), 0.95));
            [loud[..used].iter().copied().fold(f32::MIN, f32::max); BANDS]
        };
        Self {
            repeater: repeater.or(listener).unwrap_or_else(guess),
            listener: listener.or(repeater).unwrap_or_else(guess),
            used,
            guessed: repeater.is_none() && listener.is_none(),
        }
    }

    /// A frame relative to one of the noises.
    pub fn relative(&self, frame: &Frame, whose: Whose) -> Relative {
        let noise = match whose {
            Whose::Repeater => &self.repeater,
            Whose::Listener => &self.listener,
        };
        let mut bands: [f32; BANDS] = std::array::from_fn(|b| frame.bands_db[b] - noise[b]);
        let bands = &mut bands[..self.used];
        let n = bands.len();
        bands.sort_unstable_by(f32::total_cmp);
        Relative {
            low: 0.5 * (bands[0] + bands[1]),
            high: 0.5 * (bands[n - 1] + bands[n - 2]),
        }
    }
}

/// Number of bands that the path passes: those whose loud moments are not far below the rest.
fn pass_band(frames: &[Frame]) -> usize {
    let loud: [f32; BANDS] =
        std::array::from_fn(|b| select_f32(frames.iter().step_by(3).map(|f| f.bands_db[b]), 0.98));
    let middle = loud[1].max(loud[2]);
    (3..BANDS)
        .find(|b| loud[*b] < middle - tuning::PASS_BAND_DB)
        .unwrap_or(BANDS)
}
