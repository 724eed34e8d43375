//! What becomes of a signal on its way: steps, drift, shadowing, fading.

use super::dsp::{BLOCK, ComplexBlock, STEP_S, db_to_amplitude};
use super::rng::stream;
use super::scenario::{Fading, Path};
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use rand_distr::StandardNormal;
use std::f64::consts::{PI, TAU};

/// Speed of light in metres a second.
const LIGHT_M_S: f64 = 299_792_458.0;

/// Largest Doppler shift: `fm = v f / c`.
#[must_use]
pub fn doppler_hz(band_mhz: f64, speed_kmh: f64) -> f64 {
    speed_kmh / 3.6 * band_mhz * 1e6 / LIGHT_M_S
}

/// Fast fading: a sum of waves from all sides, each with its own Doppler shift.
///
/// Mean power 1. For Rician fading the direct wave has no Doppler shift.
#[derive(Debug, Clone)]
pub struct Fader {
    waves: Vec<[f64; 4]>,
    direct: f64,
}

/// Waves in the sum.
const WAVES: usize = 48;

impl Fader {
    /// A fader read every `step_s`; `k` is the direct wave's power over the scattered, 0 for
    /// Rayleigh fading.
    #[must_use]
    pub fn new(k: f64, doppler_hz: f64, step_s: f64, rng: &mut ChaCha8Rng) -> Self {
        let scattered = (1.0 / (1.0 + k) / WAVES as f64).sqrt();
        let waves = (0..WAVES)
            .map(|n| {
                // One wave from each sector, at random within it.
                let side = (TAU * n as f64 + rng.random_range(-PI..PI)) / WAVES as f64;
                let phase: f64 = rng.random_range(0.0..TAU);
                let turn = TAU * doppler_hz * side.cos() * step_s;
                [
                    scattered * phase.cos(),
                    scattered * phase.sin(),
                    turn.cos(),
                    turn.sin(),
                ]
            })
            .collect();
        Self {
            waves,
            direct: (k / (1.0 + k)).sqrt(),
        }
    }

    /// Complex gain at the next step.
    pub fn step(&mut self) -> [f64; 2] {
        let mut sum = [self.direct, 0.0];
        for [re, im, cos, sin] in &mut self.waves {
            (*re, *im) = (*re * *cos - *im * *sin, *re * *sin + *im * *cos);
            sum[0] += *re;
            sum[1] += *im;
        }
        sum
    }
}

/// Gain of one path over time.
#[derive(Debug, Clone)]
pub struct PathGain {
    settings: Path,
    fader: Option<Fader>,
    fades: usize,
    last: [f64; 2],
    shadow: f64,
    shadow_keep: f64,
    rng: ChaCha8Rng,
    fade_db: f64,
}

/// Shadowing changes over this time where the scenario does not say.
const SHADOW_S: f64 = 5.0;

impl PathGain {
    /// The path named `label`.
    #[must_use]
    pub fn new(path: &Path, band_mhz: f64, seed: u64, label: &str) -> Self {
        let mut rng = stream(seed, label);
        let doppler = path
            .doppler_hz
            .unwrap_or_else(|| doppler_hz(band_mhz, path.speed_kmh));
        // Read so often that a wave turns by 1/20 of its cycle at most.
        let fades = ((doppler * STEP_S * 20.0).ceil() as usize).clamp(1, BLOCK);
        let fades = (fades..=BLOCK)
            .find(|n| BLOCK.is_multiple_of(*n))
            .unwrap_or(BLOCK);
        let k = match path.fading {
            Fading::None => None,
            Fading::Rayleigh => Some(0.0),
            Fading::Rician => Some(10f64.powf(path.k_db / 10.0)),
        };
        let mut fader = k.map(|k| Fader::new(k, doppler, STEP_S / fades as f64, &mut rng));
        let last = fader.as_mut().map_or([1.0, 0.0], Fader::step);
        let shadow: f64 = rng.sample(StandardNormal);
        let tau = if path.shadow_s > 0.0 {
            path.shadow_s
        } else {
            SHADOW_S
        };
        let shadow_keep = (-STEP_S / tau).exp();
        let settings = path.clone();
        Self {
            settings,
            fader,
            fades,
            last,
            shadow,
            shadow_keep,
            rng,
            fade_db: 0.0,
        }
    }

    /// Slow part of the gain at `t_s`: steps, drift and log-normal shadowing (a Gauss-Markov
    /// process in dB). To be asked once a step.
    pub fn slow_db(&mut self, t_s: f64) -> f64 {
        let path = &self.settings;
        let step = path
            .steps
            .iter()
            .rev()
            .find(|[start, _]| *start <= t_s)
            .map_or(0.0, |s| s[1]);
        let mut db = step + path.drift_db_per_min * t_s / 60.0;
        if path.shadow_db > 0.0 {
            let kick: f64 = self.rng.sample(StandardNormal);
            let keep = self.shadow_keep;
            self.shadow = keep * self.shadow + (1.0 - keep * keep).sqrt() * kick;
            db += path.shadow_db * self.shadow;
        }
        db
    }

    /// Puts a unit carrier through the path: level `db` (its slow part included) and fading.
    pub fn apply(&mut self, signal: &mut ComplexBlock, db: f64) {
        let amplitude = db_to_amplitude(db);
        let Some(fader) = &mut self.fader else {
            let gain = amplitude as f32;
            signal.re.iter_mut().for_each(|x| *x *= gain);
            signal.im.iter_mut().for_each(|x| *x *= gain);
            return;
        };
        let length = BLOCK / self.fades;
        let mut power = 0.0;
        for part in 0..self.fades {
            let next = fader.step();
            for i in 0..length {
                let x = (i + 1) as f64 / length as f64;
                let re = (amplitude * (self.last[0] + x * (next[0] - self.last[0]))) as f32;
                let im = (amplitude * (self.last[1] + x * (next[1] - self.last[1]))) as f32;
                let at = part * length + i;
                let (a, b) = (signal.re[at], signal.im[at]);
                signal.re[at] = a * re - b * im;
                signal.im[at] = a * im + b * re;
            }
            power += next[0] * next[0] + next[1] * next[1];
            self.last = next;
        }
        self.fade_db = 10.0 * (power / self.fades as f64).max(1e-9).log10();
    }

    /// Lets fading go on while nobody transmits.
    pub fn idle(&mut self) {
        if let Some(fader) = &mut self.fader {
            for _ in 0..self.fades {
                self.last = fader.step();
            }
        }
    }

    /// Fading of the last block that was put through.
    #[must_use]
    pub const fn fade_db(&self) -> f64 {
        self.fade_db
    }
}
