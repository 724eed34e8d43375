//! How well a frame fits each sound.

use super::grammar::Sound;
use super::levels::{Floor, NoiseTemplate, Relative, Rest};
use crate::tuning::timeline as tuning;

/// The floors that one reading of the recording supposes.
#[derive(Debug, Clone, PartialEq)]
pub struct Floors {
    /// Level without a carrier, where the set mutes.
    pub mute: Option<Floor>,
    /// Level of a carrier without modulation.
    pub quiet: Option<Floor>,
    /// Levels of users' carriers without speech.
    pub users: Vec<Floor>,
    /// Least spread allowed to the level of unquieted noise, dB: more where an automatic gain
    /// control may be at work.
    pub noise_sd: f32,
    /// An automatic gain control turns noise down as it goes on: its level tells little.
    pub pumping: bool,
    /// Which kind of noise is the repeater's.
    pub repeater_noise: Kind,
    /// Which kind of noise is the listener's.
    pub listener_noise: Kind,
}

/// One of the two kinds of noise of a [`NoiseTemplate`](super::levels::NoiseTemplate).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The kind heard most.
    First,
    /// The other.
    Second,
}

/// Log likelihoods of one frame for [`Sound::ALL`].
pub type Fit = [f32; 6];

impl Floors {
    /// Log likelihood (weighted by [`tuning::FRAME_WEIGHT`]) of a frame under each sound.
    pub fn fit(&self, template: &NoiseTemplate, r: &Relative, tone: bool) -> Fit {
        let lowest = self.quiet.or(self.mute).map_or(-40.0, |f| f.low.max(-60.0));
        // Modulation can be anything from just above the floor to louder than noise.
        let mut user = -(f64::from(-lowest + 6.0)).ln() - 30f64.ln();
        if r.low < lowest - 6.0 {
            user -= 4.0 + 0.3 * f64::from(lowest - 6.0 - r.low);
        }
        for floor in &self.users {
            user = user.max(two_sided(&floor.frames, r.mid, r.spread()) + tuning::USER_FLOOR_LOG);
        }
        let noise = |rest: &Rest, mid: f32, spread: f32| -> f64 {
            if self.pumping && mid < rest.mid {
                // Anything from well above the floor to full noise is as likely.
                let floor =
                    self.quiet.or(self.mute).map_or(-40.0, |f| f.mid) + tuning::PUMPED_ABOVE_DB;
                let short = f64::from((floor - mid).max(0.0));
                return -f64::from((rest.mid - floor).max(6.0)).ln() - 0.5 * short * short
                    + normal(spread, rest.spread, rest.spread_sd);
            }
            let wide = Rest {
                mid_sd: rest.mid_sd.max(self.noise_sd),
                ..*rest
            };
            two_sided(&wide, mid, spread)
        };
        let of = |kind: Kind| match (kind, template.second, r.second) {
            (Kind::Second, Some(second), Some((mid, spread))) => noise(&second.frames, mid, spread),
            _ => noise(&template.first.frames, r.mid, r.spread()),
        };
        let (repeater, listener) = (of(self.repeater_noise), of(self.listener_noise));
        let quiet = self
            .quiet
            .map_or(-20.0, |f| two_sided(&f.frames, r.mid, r.spread()));
        let mute = self.mute.map_or(-20.0, |f| one_sided(&f, r));
        // A tone is decided by its run (see `tones`), not by the frame's level.
        let tone_fit = if tone { 2.0 } else { -20.0 };
        let shift = if tone { -3.0 } else { 0.0 };
        let best = quiet
            .max(mute)
            .max(repeater)
            .max(listener)
            .max(user)
            .max(tone_fit);
        Sound::ALL.map(|sound| {
            let fit = match sound {
                Sound::Mute => mute,
                Sound::Quiet => quiet,
                Sound::User => user + shift,
                Sound::RepeaterNoise => repeater + shift,
                Sound::ListenerNoise => listener + shift,
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

fn two_sided(rest: &Rest, mid: f32, spread: f32) -> f64 {
    normal(mid, rest.mid, rest.mid_sd) + normal(spread, rest.spread, rest.spread_sd)
}

/// A mute may be deeper than its usual level (digital silence beside a recorder's own noise):
/// deeper fits less well than the level itself, but never badly.
fn one_sided(floor: &Floor, r: &Relative) -> f64 {
    let fit = two_sided(&floor.frames, r.mid, r.spread());
    if r.mid < floor.mid {
        fit.max(DEEPER)
    } else {
        fit
    }
}

/// Log density of a frame somewhere below the mute's usual level.
const DEEPER: f64 = -7.0;
