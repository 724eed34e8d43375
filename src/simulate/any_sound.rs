//! Whatever else than a voice comes out of a microphone: a buzz or a breath in syllables, a whistle, an
//! engine, noise. What it is, and every value of it, is drawn by seed. An ear that has only heard one
//! kind of voice takes everything else for no user at all.

use super::dsp::gauss::Gauss;
use super::dsp::iir::{Chain, smoothing};
use super::dsp::{BLOCK, Block, RATE_HZ, STEP_S};
use super::rng::stream;
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use std::f64::consts::TAU;

/// Something that sounds.
#[derive(Debug, Clone)]
pub struct AnySound {
    rng: ChaCha8Rng,
    noise: Gauss,
    band: Chain,
    /// Shares of a saw-tooth, a sine and noise.
    mixture: [f64; 3],
    pitch_hz: f64,
    /// Share by which the pitch wanders, and how often a second.
    vibrato: [f64; 2],
    /// A note changes the pitch by up to this factor.
    leap: f64,
    note: f64,
    phase: f64,
    slow_phase: f64,
    loudness: Loudness,
    /// Lengths of phrases and of the pauses between them; none: it never stops.
    phrases_s: Option<[f64; 2]>,
    sounding: bool,
    left_s: f64,
    gain: f64,
}

/// How its loudness goes within a phrase.
#[derive(Debug, Clone)]
enum Loudness {
    Steady,
    /// Noise slower than so many a second, and the share that is always there.
    Syllables {
        per_s: f64,
        least: f64,
        slow: [f64; 2],
    },
    /// On and off.
    Switched {
        mean_s: f64,
        on: bool,
        left_s: f64,
        now: f64,
    },
}

impl AnySound {
    /// The sound named `label`.
    #[must_use]
    pub fn new(seed: u64, label: &str) -> Self {
        let mut rng = stream(seed, &format!("{label} any sound"));
        // Buzz, breath, whistle, engine, hiss, and any mixture.
        let mixture = match rng.random_range(0..6) {
            0 => [1.0, 0.0, rng.random_range(0.0..0.1)],
            1 => [rng.random_range(0.0..0.2), 0.0, 1.0],
            2 => [0.0, 1.0, 0.0],
            3 => [0.7, 0.0, rng.random_range(0.1..0.6)],
            4 => [0.0, 0.0, 1.0],
            _ => std::array::from_fn(|_| rng.random::<f64>()),
        };
        let whistles = mixture[1] > 0.5;
        let low = if whistles {
            300.0
        } else {
            rng.random_range(60.0..260.0)
        };
        let pitch_hz = if whistles {
            rng.random_range(350.0..2400.0)
        } else {
            low
        };
        let loudness = match rng.random_range(0..6) {
            0 | 1 => Loudness::Steady,
            2..=4 => Loudness::Syllables {
                per_s: rng.random_range(1.5..9.0),
                least: rng.random_range(-0.3..0.5),
                slow: [0.0; 2],
            },
            _ => Loudness::Switched {
                mean_s: rng.random_range(0.06..1.2),
                on: true,
                left_s: 0.0,
                now: 0.0,
            },
        };
        let phrases_s = rng
            .random_bool(0.6)
            .then(|| [rng.random_range(0.6..6.0), rng.random_range(0.1..1.2)]);
        let low_hz = rng.random_range(120.0..900.0);
        let mut made = Self {
            noise: Gauss::new(seed, &format!("{label} breath")),
            band: Chain::band(low_hz, low_hz + rng.random_range(500.0..3000.0)),
            mixture,
            pitch_hz,
            vibrato: [rng.random_range(0.0..0.12), rng.random_range(0.2..7.0)],
            leap: if rng.random_bool(0.3) { 1.6 } else { 1.02 },
            note: 1.0,
            phase: 0.0,
            slow_phase: 0.0,
            loudness,
            phrases_s,
            sounding: true,
            left_s: rng.random_range(0.2..3.0),
            gain: 1.0,
            rng,
        };
        made.gain = 1.0 / made.clone().loudest();
        made
    }

    /// What two seconds of it, without any pause, come to.
    fn loudest(mut self) -> f64 {
        self.phrases_s = None;
        self.sounding = true;
        self.left_s = f64::INFINITY;
        let blocks = (2.0 / STEP_S) as usize;
        let most = (0..blocks).map(|_| self.block().iter().fold(0.0f32, |m, x| m.max(x.abs())));
        f64::from(most.fold(0.0f32, f32::max)).max(0.05)
    }

    /// Starts anew, as when a key is pressed.
    pub fn begin(&mut self) {
        self.sounding = self.rng.random_bool(0.8);
        self.left_s = self.rng.random_range(0.1..0.6);
    }

    /// The next block; peaks near 1.
    pub fn block(&mut self) -> Block {
        self.left_s -= STEP_S;
        if self.left_s <= 0.0 {
            self.next_phrase();
        }
        let level = self.level() * f64::from(u8::from(self.sounding));
        let breath = self.noise.block();
        let [saw, sine, noise] = self.mixture;
        self.slow_phase = (self.slow_phase + TAU * self.vibrato[1] * STEP_S) % TAU;
        let bend = 1.0 + self.vibrato[0] * self.slow_phase.sin();
        let step = self.pitch_hz * self.note * bend / RATE_HZ;
        let mut out = [0.0; BLOCK];
        for (slot, breath) in out.iter_mut().zip(breath) {
            self.phase = (self.phase + step) % 1.0;
            let pitched = saw * (2.0 * self.phase - 1.0) + sine * (TAU * self.phase).sin();
            *slot = (level * (pitched + 0.5 * noise * f64::from(breath))) as f32;
        }
        self.band.run(&mut out);
        out.map(|x| (self.gain * f64::from(x)) as f32)
    }

    fn next_phrase(&mut self) {
        self.note = self.leap.powf(self.rng.random_range(-1.0..1.0));
        let spread = self.rng.random_range(0.3..1.7);
        self.left_s = match self.phrases_s {
            Some([phrase, pause]) => {
                self.sounding = !self.sounding;
                spread * if self.sounding { phrase } else { pause }
            }
            None => {
                self.sounding = true;
                spread
            }
        };
    }

    /// Loudness of the next block.
    fn level(&mut self) -> f64 {
        match &mut self.loudness {
            Loudness::Steady => 1.0,
            Loudness::Syllables { per_s, least, slow } => {
                // Noise through two smoothers, brought back to a spread of about a half.
                let way = smoothing(STEP_S, 1.0 / (TAU * *per_s));
                slow[0] += way * (f64::from(self.noise.draw()) - slow[0]);
                slow[1] += way * (slow[0] - slow[1]);
                (*least + 0.35 + 0.7 * slow[1] / way.sqrt()).clamp(0.0, 1.0)
            }
            Loudness::Switched {
                mean_s,
                on,
                left_s,
                now,
            } => {
                *left_s -= STEP_S;
                if *left_s <= 0.0 {
                    *on = !*on;
                    *left_s = *mean_s * self.rng.random_range(0.3..1.7);
                }
                *now += smoothing(STEP_S, 0.006) * (f64::from(u8::from(*on)) - *now);
                *now
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_is_as_loud_as_a_voice_and_they_are_unlike_each_other() {
        let (mut tonal, mut steady) = (0, 0);
        for seed in 0..60 {
            let mut sound = AnySound::new(seed, "test");
            sound.begin();
            let blocks: Vec<Block> = (0..(8.0 / STEP_S) as usize)
                .map(|_| sound.block())
                .collect();
            let peak = blocks.iter().flatten().fold(0.0f32, |m, x| m.max(x.abs()));
            assert!((0.3..2.0).contains(&peak), "{seed}: {peak}");
            let power = |b: &Block| b.iter().map(|x| x * x).sum::<f32>() / BLOCK as f32;
            let powers: Vec<f32> = blocks.iter().map(power).collect();
            let silent = powers.iter().filter(|p| **p < 1e-5).count() as f64 / powers.len() as f64;
            assert!(silent < 0.9, "{seed}: {silent}");
            tonal += usize::from(sound.mixture[1] > 0.5);
            steady += usize::from(silent == 0.0);
        }
        assert!((5..40).contains(&tonal), "{tonal}");
        assert!((5..55).contains(&steady), "{steady}");
    }

    #[test]
    fn a_seed_sounds_the_same_again_and_a_name_like_nothing_else() {
        let play = |seed, label: &str| {
            let mut sound = AnySound::new(seed, label);
            (0..400).map(|_| sound.block()).collect::<Vec<_>>()
        };
        assert_eq!(play(3, "a"), play(3, "a"));
        assert_ne!(play(3, "a"), play(3, "b"));
    }
}
