//! The sounds that a voice strings together.

use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use std::collections::VecDeque;

/// One sound held for a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sound {
    pub length_s: f64,
    /// Formants of an average man.
    pub formants_hz: [f64; 4],
    /// Factor on the formants' widths.
    pub width: f64,
    /// Strength of the pitch pulses.
    pub voiced: f64,
    /// Strength of the hiss.
    pub noisy: f64,
    /// Centre of the hiss.
    pub hiss_hz: f64,
    /// Factor on the pitch.
    pub pitch: f64,
    /// How fast it sets in.
    pub attack_s: f64,
}

/// First three formants of ten vowels of an average man (Peterson and Barney's averages, from
/// memory; nothing rests on them but the look of the spectrum).
const VOWELS_HZ: [[f64; 3]; 10] = [
    [270.0, 2290.0, 3010.0],
    [390.0, 1990.0, 2550.0],
    [530.0, 1840.0, 2480.0],
    [660.0, 1720.0, 2410.0],
    [730.0, 1090.0, 2440.0],
    [570.0, 840.0, 2410.0],
    [440.0, 1020.0, 2240.0],
    [300.0, 870.0, 2240.0],
    [640.0, 1190.0, 2390.0],
    [490.0, 1350.0, 1690.0],
];

const NASAL_HZ: [f64; 4] = [250.0, 1200.0, 2200.0, 3400.0];

impl Sound {
    /// Silence.
    pub fn pause(length_s: f64) -> Self {
        Self {
            length_s,
            formants_hz: [500.0, 1500.0, 2500.0, 3500.0],
            width: 1.0,
            voiced: 0.0,
            noisy: 0.0,
            hiss_hz: 4000.0,
            pitch: 1.0,
            attack_s: 0.012,
        }
    }
}

/// Adds a phrase of a few syllables and the pause after it.
pub(super) fn plan_phrase(rng: &mut ChaCha8Rng, plan: &mut VecDeque<Sound>) {
    let syllables = rng.random_range(3..14);
    let tempo = rng.random_range(0.85..1.2);
    for i in 0..syllables {
        // The pitch falls over the phrase; a stressed syllable lifts it.
        let stress = rng.random_range(0.55..1.0);
        let fall = 1.08 - 0.2 * f64::from(i) / f64::from(syllables);
        let pitch = fall * (0.93 + 0.14 * stress) * rng.random_range(0.97..1.03);
        syllable(rng, plan, tempo, stress, pitch);
    }
    plan.push_back(Sound::pause(rng.random_range(0.22..0.85)));
}

fn syllable(rng: &mut ChaCha8Rng, plan: &mut VecDeque<Sound>, tempo: f64, stress: f64, pitch: f64) {
    let base = Sound {
        pitch,
        ..Sound::pause(0.0)
    };
    consonant(rng, plan, &base, tempo, 0.85);
    let vowel = VOWELS_HZ[rng.random_range(0..VOWELS_HZ.len())];
    plan.push_back(Sound {
        length_s: rng.random_range(0.07..0.17) * tempo * (0.7 + 0.5 * stress),
        formants_hz: [vowel[0], vowel[1], vowel[2], 3400.0],
        voiced: stress,
        attack_s: 0.015,
        ..base
    });
    consonant(rng, plan, &base, tempo, 0.4);
}

fn consonant(
    rng: &mut ChaCha8Rng,
    plan: &mut VecDeque<Sound>,
    base: &Sound,
    tempo: f64,
    chance: f64,
) {
    if !rng.random_bool(chance) {
        return;
    }
    match rng.random_range(0..10) {
        // Stop: closure, burst, a breath.
        0..=3 => {
            plan.push_back(Sound {
                length_s: rng.random_range(0.035..0.08) * tempo,
                ..*base
            });
            let hiss_hz = rng.random_range(1800.0..4500.0);
            let noisy = rng.random_range(0.1..0.3);
            let burst = Sound {
                hiss_hz,
                noisy,
                attack_s: 0.001,
                ..*base
            };
            plan.push_back(Sound {
                length_s: 0.012,
                ..burst
            });
            let breath = rng.random_range(0.0..0.04);
            plan.push_back(Sound {
                length_s: breath,
                noisy: noisy * 0.3,
                ..burst
            });
        }
        // Fricative, now and then voiced.
        4..=6 => {
            let noisy = rng.random_range(0.04..0.22);
            let voiced = if rng.random_bool(0.3) { 0.15 } else { 0.0 };
            plan.push_back(Sound {
                length_s: rng.random_range(0.06..0.13) * tempo,
                hiss_hz: rng.random_range(2500.0..5500.0),
                noisy,
                voiced,
                attack_s: 0.015,
                ..*base
            });
        }
        // Nasal or liquid.
        _ => plan.push_back(Sound {
            length_s: rng.random_range(0.045..0.09) * tempo,
            formants_hz: NASAL_HZ,
            width: 1.6,
            voiced: rng.random_range(0.25..0.5),
            ..*base
        }),
    }
}
