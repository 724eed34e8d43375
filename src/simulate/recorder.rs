//! What keeps the sound: line, phone, voice-activated; rate, clock, channels, bits.

mod cut;
mod phone;

use super::clock::ClockMap;
use super::dsp::resample::Resampler;
use super::dsp::{RATE_HZ, db_to_amplitude};
use super::ledger::Ledger;
use super::rng::stream;
use super::scenario::{OnlyOn, Recorder, Scenario};
use rand::RngExt;
use rand_distr::StandardNormal;
use std::f64::consts::TAU;

/// A recording as it comes out of the recorder.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Recorded {
    /// Channels interleaved.
    pub samples: Vec<f32>,
    /// The channel with the radio alone, before it was put among others.
    pub radio: Vec<f32>,
    pub clock: ClockMap,
}

/// Records the sound of a scene.
pub(super) fn record(scene: &Scenario, sound: &[f32], ledger: &Ledger, seed: u64) -> Recorded {
    let set = &scene.recorder;
    let start = (scene.lead_in_s * RATE_HZ) as usize;
    let mut sound = sound[start.min(sound.len())..].to_vec();
    if let Some(phone) = &set.phone {
        phone::hear(phone, &mut sound, scene.listener.volume_dbfs, seed);
    }
    let gain = db_to_amplitude(set.gain_db) as f32;
    sound.iter_mut().for_each(|x| *x *= gain);
    let (from, to) = (scene.lead_in_s, scene.lead_in_s + scene.duration_s);
    let kept = match &set.voice_activated {
        Some(cut) => cut::kept(cut, &sound, &ledger.open, from, to),
        None => vec![[from, to]],
    };
    let clock = ClockMap::new(&kept, set.clock_ppm, set.wow_percent);
    let mut radio = resample(&sound, from, f64::from(set.rate_hz), &clock);
    let muted = |recorded_s: f64| {
        let t = clock.scene_s(recorded_s);
        set.digital_mute && !ledger.open.iter().any(|span| span.holds(t))
    };
    add_own_sounds(set, &mut radio, seed, "recorder", muted);
    let samples = lay_out(set, &radio, seed);
    radio.iter_mut().for_each(|x| *x = quantised(*x, set.bits));
    Recorded {
        samples,
        radio,
        clock,
    }
}

/// Reads each piece of the clock by itself, so that a cut stays a cut.
fn resample(sound: &[f32], from_s: f64, rate_hz: f64, clock: &ClockMap) -> Vec<f32> {
    let resampler = Resampler::new(RATE_HZ, rate_hz);
    let count = (clock.duration_s() * rate_hz).round() as usize;
    let pieces = clock.pieces();
    let mut at = 0;
    (0..count)
        .map(|n| {
            let t = n as f64 / rate_hz;
            while at + 1 < pieces.len() && pieces[at + 1].recorded_start_s <= t {
                at += 1;
            }
            let Some(piece) = pieces.get(at) else {
                return 0.0;
            };
            let scene = piece.scene_start_s + (t - piece.recorded_start_s) / piece.rate;
            resampler.at(sound, (scene - from_s) * RATE_HZ)
        })
        .collect()
}

/// Hum, offset and noise of the recorder itself; nothing while digitally muted.
fn add_own_sounds(
    set: &Recorder,
    samples: &mut [f32],
    seed: u64,
    label: &str,
    muted: impl Fn(f64) -> bool,
) {
    let mut rng = stream(seed, label);
    let noise = db_to_amplitude(set.noise_dbfs);
    let hum = set
        .hum_dbfs
        .map_or(0.0, |db| db_to_amplitude(db) * std::f64::consts::SQRT_2);
    let rate = f64::from(set.rate_hz);
    for (n, x) in samples.iter_mut().enumerate() {
        let t = n as f64 / rate;
        if set.digital_mute && muted(t) {
            *x = 0.0;
            continue;
        }
        let p = TAU * set.hum_hz * t;
        let own: f64 = rng.sample(StandardNormal);
        let hummed = hum * (0.8 * p.sin() + 0.5 * (3.0 * p).sin() + 0.25 * (5.0 * p).sin());
        *x += (noise * own + hummed + set.dc) as f32;
    }
}

/// One or two channels, at the file's resolution.
fn lay_out(set: &Recorder, radio: &[f32], seed: u64) -> Vec<f32> {
    let bits = set.bits;
    if set.channels == 1 {
        return radio.iter().map(|x| quantised(*x, bits)).collect();
    }
    let mut other = match (set.radio_on, set.crosstalk_db) {
        (OnlyOn::Both, _) => radio.to_vec(),
        (_, Some(db)) => radio
            .iter()
            .map(|x| x * db_to_amplitude(db) as f32)
            .collect(),
        (_, None) => vec![0.0; radio.len()],
    };
    if set.radio_on != OnlyOn::Both {
        let own = Recorder {
            hum_dbfs: None,
            digital_mute: false,
            ..set.clone()
        };
        add_own_sounds(&own, &mut other, seed, "other channel", |_| false);
    }
    let (left, right) = if set.radio_on == OnlyOn::Right {
        (&other[..], radio)
    } else {
        (radio, &other[..])
    };
    left.iter()
        .zip(right)
        .flat_map(|(l, r)| [quantised(*l, bits), quantised(*r, bits)])
        .collect()
}

/// Clipped to full scale and rounded to the nearest step.
fn quantised(x: f32, bits: u16) -> f32 {
    let steps = f64::from(1u32 << (bits - 1));
    ((f64::from(x) * steps).round().clamp(-steps, steps - 1.0) / steps) as f32
}
