//! How well a frame fits each sound.

use super::grammar::Sound;
use super::levels::{Floor, Relative};
use crate::tuning::timeline as tuning;

/// The floors that one reading of the recording supposes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Floors {
    /// Level without a carrier, where the set mutes.
    pub mute: Option<Floor>,
    /// Level of a carrier without modulation.
    pub quiet: Option<Floor>,
    /// Spread of unquieted noise about its template, dB.
    pub noise_sd: f32,
}

/// Log likelihoods of one frame for [`Sound::ALL`].
pub type Fit = [f32; 5];

impl Floors {
    /// Log likelihood (weighted by [`tuning::FRAME_WEIGHT`]) of a frame under each sound.
    pub fn fit(&self, r: &Relative, tone: bool) -> Fit {
        let lowest = self.quiet.or(self.mute).map_or(-40.0, |f| f.low.max(-60.0));
        // Modulation can be anything from just above the floor to louder than noise.
        let mut user = -(f64::from(-lowest + 6.0)).ln() - 20f64.ln();
        if r.low < lowest - 6.0 {
            user -= 4.0 + 0.3 * f64::from(lowest - 6.0 - r.low);
        }
        let noise = normal(r.low, -tuning::STEADY_EDGE_DB, self.noise_sd)
            + normal(r.high, tuning::STEADY_EDGE_DB, self.noise_sd);
        let quiet = self.quiet.map_or(-20.0, |f| two_sided(&f, r));
        let mute = self.mute.map_or(-20.0, |f| one_sided(&f, r));
        // A tone is decided by its run (see `tones`), not by the frame's level.
        let tone_fit = if tone { 2.0 } else { -20.0 };
        let shift = if tone { -3.0 } else { 0.0 };
        let best = quiet.max(mute).max(noise).max(user).max(tone_fit);
        Sound::ALL.map(|sound| {
            let fit = match sound {
                Sound::Mute => mute,
                Sound::Quiet => quiet,
                Sound::User => user + shift,
                Sound::Noise => noise + shift,
                Sound::Tone => tone_fit,
            };
            (fit.max(best - tuning::FRAME_LOSS_MAX) * tuning::FRAME_WEIGHT) as f32
        })
    }
}

fn normal(x: f32, centre: f32, sd: f32) -> f64 {
    let z = f64::from((x - centre) / sd);
    -0.5 * z * z - f64::from(sd).ln() - 0.919
}

fn two_sided(floor: &Floor, r: &Relative) -> f64 {
    normal(r.low, floor.low, floor.sd) + normal(r.high, floor.high, floor.sd)
}

/// A mute may be deeper than its usual level (digital silence beside a recorder's own noise).
fn one_sided(floor: &Floor, r: &Relative) -> f64 {
    normal(r.low.max(floor.low), floor.low, floor.sd) + normal(r.high.max(floor.high), floor.high, floor.sd)
}
