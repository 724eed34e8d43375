//! A phone held up to a loudspeaker: speaker, room, noise, somebody beside it, gain control.

use crate::simulate::dsp::gauss::Gauss;
use crate::simulate::dsp::iir::{Biquad, Chain, smoothing};
use crate::simulate::dsp::{BLOCK, RATE_HZ, STEP_S, db_to_amplitude};
use crate::simulate::rng::stream;
use crate::simulate::scenario::{Beside, Phone};
use crate::simulate::schedule::{Press, human_s, pressed};
use crate::simulate::voice::Voice;
use rand::RngExt;
use std::f64::consts::{PI, TAU};

/// Turns the set's sound into what the phone keeps. A tone of full deviation has amplitude 1
/// inside here.
pub(super) fn hear(phone: &Phone, sound: &mut [f32], volume_dbfs: f64, seed: u64) {
    let loudness = db_to_amplitude(-volume_dbfs) as f32;
    sound.iter_mut().for_each(|x| *x *= loudness);
    loudspeaker(phone, seed).run(sound);
    reverberate(phone, sound, seed);
    add_room(phone, sound, seed);
    add_knocks(phone, sound, seed);
    if let Some(beside) = &phone.beside {
        add_talk(beside, sound, seed);
    }
    if phone.agc {
        control_gain(phone, sound);
    }
    let level = db_to_amplitude(phone.level_dbfs) as f32;
    sound
        .iter_mut()
        .for_each(|x| *x = (*x * level).clamp(-1.0, 1.0));
}

/// A small loudspeaker: a band with bumps that differ from set to set.
fn loudspeaker(phone: &Phone, seed: u64) -> Chain {
    let mut rng = stream(seed, "loudspeaker");
    let mut sections = vec![
        Biquad::high_pass(phone.speaker_low_hz, 1.0),
        Biquad::low_pass(phone.speaker_high_hz, 0.8),
        Biquad::low_pass(phone.speaker_high_hz * 1.1, 0.7),
    ];
    for (low, high, db) in [
        (550.0, 1100.0, 9.0),
        (1300.0, 2100.0, -8.0),
        (2200.0, 3400.0, 8.0),
    ] {
        let centre = rng.random_range(low..high);
        let q = rng.random_range(1.5..4.0);
        sections.push(Biquad::peak(
            centre,
            q,
            db * phone.boxy * rng.random_range(0.5..1.2),
        ));
    }
    Chain::of(sections)
}

/// A few early reflections, then four combs and two all-passes that lose 60 dB in the
/// reverberation time.
fn reverberate(phone: &Phone, sound: &mut [f32], seed: u64) {
    if phone.reverb_db <= -60.0 {
        return;
    }
    let mut rng = stream(seed, "room");
    let size = rng.random_range(0.7..1.3);
    let mut combs = [0.0297, 0.0371, 0.0411, 0.0437].map(|s| {
        let delay_s = s * size;
        let keep = 10f64.powf(-3.0 * delay_s / phone.reverb_s) as f32;
        (Delay::new(delay_s), keep, 0.0f32)
    });
    let mut passes = [0.005, 0.0017].map(|s| Delay::new(s * size));
    let mut early = [0.0031, 0.0078, 0.0133].map(|s| (Delay::new(s * size), 0.35f32));
    let wet = db_to_amplitude(phone.reverb_db) as f32;
    for x in sound {
        let mut late = 0.0;
        for (delay, keep, damped) in &mut combs {
            let out = delay.read();
            *damped += 0.5 * (out - *damped);
            delay.write(*x + *keep * *damped);
            late += 0.25 * out;
        }
        for delay in &mut passes {
            let held = delay.read();
            let into = late + 0.6 * held;
            late = held - 0.6 * into;
            delay.write(into);
        }
        let mut near = 0.0;
        for (delay, share) in &mut early {
            near += *share * delay.read();
            delay.write(*x);
        }
        *x += wet * (near + 1.6 * late);
    }
}

/// A line that gives back what it was given a while ago.
struct Delay {
    line: Vec<f32>,
    at: usize,
}

impl Delay {
    fn new(delay_s: f64) -> Self {
        Self {
            line: vec![0.0; ((delay_s * RATE_HZ) as usize).max(1)],
            at: 0,
        }
    }

    fn read(&self) -> f32 {
        self.line[self.at]
    }

    fn write(&mut self, x: f32) {
        self.line[self.at] = x;
        self.at = (self.at + 1) % self.line.len();
    }
}

/// Steady room noise of a given slope, set by its loudness in the loudspeaker's band.
fn add_room(phone: &Phone, sound: &mut [f32], seed: u64) {
    let mut noise = Gauss::new(seed, "room noise");
    let mut shelves = Shelves::new(phone.room_slope_db);
    let mut room: Vec<f32> = (0..sound.len())
        .map(|_| shelves.step(noise.draw()))
        .collect();
    // Slow swells, as of traffic outside.
    let mut rng = stream(seed, "room swell");
    let (period, phase) = (rng.random_range(4.0..15.0), rng.random_range(0.0..TAU));
    let mut band = room[..room.len().min(48_000)].to_vec();
    Chain::steep_band(phone.speaker_low_hz, phone.speaker_high_hz).run(&mut band);
    let loud = rms(&band).max(1e-9);
    let goal = db_to_amplitude(phone.room_db) * std::f64::consts::FRAC_1_SQRT_2;
    for (i, x) in room.iter_mut().enumerate() {
        let swell = 1.0 + 0.2 * (TAU * i as f64 / RATE_HZ / period + phase).sin();
        *x *= (goal / loud * swell) as f32;
    }
    sound.iter_mut().zip(room).for_each(|(s, r)| *s += r);
}

/// A slope made of first-order shelves two octaves apart.
struct Shelves(Vec<[f64; 4]>);

impl Shelves {
    fn new(slope_db_per_octave: f64) -> Self {
        let fall = slope_db_per_octave.abs();
        let sections = (0..5).map(|i| {
            let pole_hz = 40.0 * 4f64.powi(i);
            // Two octaves of 6 dB an octave need the zero two octaves above the pole.
            let zero_hz = pole_hz * 2f64.powf(fall / 3.0);
            let (a, b) = (pole_hz.min(20_000.0), zero_hz.min(20_000.0));
            let at = |hz: f64| (-2.0 * PI * hz / RATE_HZ).exp();
            if slope_db_per_octave < 0.0 {
                [at(a), at(b), 0.0, 0.0]
            } else {
                [at(b), at(a), 0.0, 0.0]
            }
        });
        Self(sections.collect())
    }

    fn step(&mut self, x: f32) -> f32 {
        let mut x = f64::from(x);
        for [pole, zero, last_x, last_y] in &mut self.0 {
            let y = x - *zero * *last_x + *pole * *last_y;
            (*last_x, *last_y) = (x, y);
            x = y;
        }
        x as f32
    }
}

/// Knocks: short low thuds.
fn add_knocks(phone: &Phone, sound: &mut [f32], seed: u64) {
    if phone.knocks_per_min <= 0.0 {
        return;
    }
    let mut rng = stream(seed, "knocks");
    let mut noise = Gauss::new(seed, "knock noise");
    let mut at_s = human_s(&mut rng, 60.0 / phone.knocks_per_min, 1.0);
    while ((at_s * RATE_HZ) as usize) < sound.len() {
        let (hz, fall_s) = (rng.random_range(120.0..900.0), rng.random_range(0.01..0.06));
        let loud = rng.random_range(0.1..0.8);
        let mut body = Biquad::resonator(hz, hz * 0.4);
        let start = (at_s * RATE_HZ) as usize;
        let end = (start + (6.0 * fall_s * RATE_HZ) as usize).min(sound.len());
        for (i, x) in sound[start..end].iter_mut().enumerate() {
            let fall = (-(i as f64) / RATE_HZ / fall_s).exp();
            // The resonator's gain on noise is about sqrt(bandwidth share).
            *x += (loud * 0.4 * fall * body.step(f64::from(noise.draw()))) as f32;
        }
        at_s += human_s(&mut rng, 60.0 / phone.knocks_per_min, 1.0);
    }
}

/// Somebody talks beside the phone.
fn add_talk(beside: &Beside, sound: &mut [f32], seed: u64) {
    let mut rng = stream(seed, "talk beside");
    let end_s = sound.len() as f64 / RATE_HZ;
    let mut times: Vec<Press> = beside.hold.clone();
    if times.is_empty() && beside.share > 0.0 {
        let talk_s = 2.5;
        let rest_s = talk_s * (1.0 - beside.share) / beside.share;
        let mut at = human_s(&mut rng, rest_s, 0.7);
        while at < end_s {
            let length = human_s(&mut rng, talk_s, 0.5);
            times.push([at, at + length]);
            at += length + human_s(&mut rng, rest_s.max(0.05), 0.7);
        }
    }
    let mut voice = Voice::new(None, seed, "voice beside");
    let level = db_to_amplitude(beside.level_db) as f32;
    for (step, block) in sound.chunks_mut(BLOCK).enumerate() {
        if !pressed(&times, step as f64 * STEP_S) && !voice.speaking() {
            continue;
        }
        let words = voice.block();
        block
            .iter_mut()
            .zip(words)
            .for_each(|(x, w)| *x += level * w);
    }
}

/// Automatic gain control: falls fast when it gets loud, rises slowly when it gets quiet, up to
/// its range.
fn control_gain(phone: &Phone, sound: &mut [f32]) {
    const ATTACK_S: f64 = 0.012;
    let most = db_to_amplitude(phone.agc_range_db);
    let (mut loud, mut gain) = (0.0, 1.0);
    let (attack, release) = (
        smoothing(STEP_S, ATTACK_S),
        smoothing(STEP_S, phone.agc_release_s),
    );
    for block in sound.chunks_mut(BLOCK) {
        let peak = block.iter().fold(0.0f64, |m, x| m.max(f64::from(x.abs())));
        loud += if peak > loud {
            attack
        } else {
            smoothing(STEP_S, 0.15)
        } * (peak - loud);
        let goal = (LOUD / loud.max(1e-6)).clamp(LEAST, most);
        let from = gain;
        gain += if goal < gain { attack } else { release } * (goal - gain);
        let count = block.len() as f64;
        for (i, x) in block.iter_mut().enumerate() {
            *x *= (from + (gain - from) * (i + 1) as f64 / count) as f32;
        }
    }
}

/// Peak that the gain control aims at: that of a tone of full deviation.
const LOUD: f64 = 1.0;
/// The gain falls no further than this.
const LEAST: f64 = 0.25;

fn rms(samples: &[f32]) -> f64 {
    let sum: f64 = samples.iter().map(|x| f64::from(*x).powi(2)).sum();
    (sum / samples.len().max(1) as f64).sqrt()
}
