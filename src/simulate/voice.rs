//! A voice of our own making: pitch harmonics and noise through moving formants, in syllables,
//! with pauses between phrases. It says nothing, but it has speech's rhythm and spectrum.

mod sounds;

use super::dsp::iir::{Biquad, smoothing};
use super::dsp::{BLOCK, Block, RATE_HZ, STEP_S};
use super::rng::stream;
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use rand_distr::StandardNormal;
use sounds::{Sound, plan_phrase};
use std::collections::VecDeque;

/// A speaker.
#[derive(Debug, Clone)]
pub struct Voice {
    rng: ChaCha8Rng,
    plan: VecDeque<Sound>,
    now: Sound,
    left_s: f64,
    pitch_hz: f64,
    tract: f64,
    phase: f64,
    glide: f64,
    formants_hz: [f64; 4],
    resonators: [Biquad; 4],
    hiss: Biquad,
    hiss_last: f64,
    hiss_hz: f64,
    voiced: f64,
    noisy: f64,
}

/// Pitch below which a voice counts as a man's, with a longer vocal tract.
const LOW_VOICE_HZ: f64 = 155.0;

/// Brings the loudest vowels near full scale (set by measurement, see the tests).
const LOUDNESS: f64 = 0.78;

impl Voice {
    /// The speaker named `label`; the pitch is drawn where none is given.
    #[must_use]
    pub fn new(pitch_hz: Option<f64>, seed: u64, label: &str) -> Self {
        let mut rng = stream(seed, label);
        let low = rng.random_bool(0.6);
        let drawn = if low {
            rng.random_range(88.0..145.0)
        } else {
            rng.random_range(165.0..245.0)
        };
        let pitch_hz = pitch_hz.unwrap_or(drawn);
        let tract = if pitch_hz < LOW_VOICE_HZ { 1.0 } else { 1.16 } * rng.random_range(0.95..1.05);
        let rest = Sound::pause(rng.random_range(0.05..0.35));
        Self {
            left_s: rest.length_s,
            now: rest,
            plan: VecDeque::new(),
            pitch_hz,
            tract,
            phase: 0.0,
            glide: 1.0,
            formants_hz: [500.0, 1500.0, 2500.0, 3500.0],
            resonators: [500.0, 1500.0, 2500.0, 3500.0].map(|f| Biquad::resonator(f, 100.0)),
            hiss: Biquad::resonator(4500.0, 1800.0),
            hiss_last: 0.0,
            hiss_hz: 4500.0,
            voiced: 0.0,
            noisy: 0.0,
            rng,
        }
    }

    /// Starts anew after a breath, as when a key is pressed.
    pub fn begin(&mut self) {
        self.plan.clear();
        self.now = Sound::pause(self.rng.random_range(0.1..0.5));
        self.left_s = self.now.length_s;
    }

    /// Whether a sound (not a pause) is being spoken.
    #[must_use]
    pub fn speaking(&self) -> bool {
        self.now.voiced > 0.0 || self.now.noisy > 0.0
    }

    /// The next block; peaks near 1.
    pub fn block(&mut self) -> Block {
        self.left_s -= STEP_S;
        while self.left_s <= 0.0 {
            if self.plan.is_empty() {
                plan_phrase(&mut self.rng, &mut self.plan);
            }
            if let Some(next) = self.plan.pop_front() {
                self.left_s += next.length_s;
                self.now = next;
            }
        }
        self.move_tract();
        let step = self.pitch_hz * self.glide / RATE_HZ;
        let attack = smoothing(1.0 / RATE_HZ, self.now.attack_s);
        let mut out = [0.0; BLOCK];
        for o in &mut out {
            self.voiced += attack * (self.now.voiced - self.voiced);
            self.noisy += attack * (self.now.noisy - self.noisy);
            self.phase += step;
            if self.phase >= 1.0 {
                self.phase -= 1.0;
                let jitter: f64 = self.rng.sample(StandardNormal);
                self.phase += 0.004 * jitter.clamp(-2.0, 2.0);
            }
            let noise: f64 = if self.noisy > 1e-4 || self.voiced > 1e-4 {
                self.rng.sample(StandardNormal)
            } else {
                0.0
            };
            // Slope of the glottal flow: a parabola that opens for 0.6 of the cycle.
            let x = self.phase / 0.6;
            let pulse = if (0.0..1.0).contains(&x) {
                2.0 * x - 3.0 * x * x
            } else {
                0.0
            };
            let mut y = self.voiced * (pulse + 0.02 * noise);
            for resonator in &mut self.resonators {
                y = resonator.step(y);
            }
            // Its slope, so that little is left of it below 2 kHz.
            let hiss = self.hiss.step(noise * self.noisy);
            *o = (LOUDNESS * (y + hiss - self.hiss_last)) as f32;
            self.hiss_last = hiss;
        }
        out
    }

    /// Formants, pitch and hiss glide towards the present sound's.
    fn move_tract(&mut self) {
        let glide = smoothing(STEP_S, 0.018);
        self.glide += smoothing(STEP_S, 0.05) * (self.now.pitch - self.glide);
        let widths = [70.0, 90.0, 140.0, 250.0];
        for (i, resonator) in self.resonators.iter_mut().enumerate() {
            let goal = self.now.formants_hz[i] * self.tract;
            self.formants_hz[i] += glide * (goal - self.formants_hz[i]);
            resonator.retune(self.formants_hz[i], widths[i] * self.now.width);
        }
        self.hiss_hz += smoothing(STEP_S, 0.01) * (self.now.hiss_hz - self.hiss_hz);
        self.hiss.retune(self.hiss_hz, 0.45 * self.hiss_hz);
    }
}

#[cfg(test)]
mod tests {
    use super::Voice;
    use crate::simulate::dsp::STEP_S;

    #[test]
    fn loud_enough_with_pauses_and_syllables() {
        for seed in 0..3 {
            let mut voice = Voice::new(None, seed, "test");
            let count = (30.0 / STEP_S) as usize;
            let blocks: Vec<_> = (0..count).map(|_| voice.block()).collect();
            let rms: Vec<f64> = (blocks.iter())
                .map(|b| (b.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>() / 120.0).sqrt())
                .collect();
            let peak = blocks.iter().flatten().fold(0.0f32, |m, x| m.max(x.abs()));
            let mut all: Vec<f32> = blocks.iter().flatten().map(|x| x.abs()).collect();
            all.sort_by(f32::total_cmp);
            let p99 = all[all.len() * 99 / 100];
            assert!(
                (0.6..1.4).contains(&p99) && peak < 3.0,
                "99 % below {p99}, peak {peak}"
            );
            let quiet = rms.iter().filter(|r| **r < 0.003).count() as f64 / count as f64;
            assert!((0.08..0.5).contains(&quiet), "quiet share {quiet}");
            // Syllables: rises of the smoothed loudness through its own slow mean.
            let (mut fast, mut slow, mut above, mut rises) = (0.0, 0.03, false, 0);
            for r in &rms {
                fast += 0.06 * (r - fast);
                slow += 0.005 * (r - slow);
                if !above && fast > slow * 1.1 {
                    above = true;
                    rises += 1;
                } else if above && fast < slow * 0.9 {
                    above = false;
                }
            }
            let rate = f64::from(rises) / 30.0;
            assert!((1.2..6.0).contains(&rate), "{rate} rises a second");
        }
    }
}
