use super::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

const RATE: u32 = 16_000;
const LENGTH_S: f64 = 40.0;

fn count() -> usize {
    (LENGTH_S * f64::from(RATE)) as usize
}

fn time(index: usize) -> f64 {
    index as f64 / f64::from(RATE)
}

fn noise(seed: u64, level: f64) -> Vec<f32> {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    (0..count())
        .map(|_| (random.random_range(-1.0..1.0) * level) as f32)
        .collect()
}

/// Noise as a receiver's loudspeaker path passes it.
fn band(mut samples: Vec<f32>) -> Vec<f32> {
    let rate = SampleRate::new(RATE).expect("rate");
    let mut sections = [
        Section::high_pass(Hertz(300.0), rate),
        Section::low_pass(Hertz(3_000.0), rate),
        Section::low_pass(Hertz(3_000.0), rate),
    ];
    for sample in &mut samples {
        let filtered = sections
            .iter_mut()
            .fold(f64::from(*sample), |x, s| s.next(x));
        *sample = filtered as f32;
    }
    samples
}

/// A squelched radio: bursts of noisy audio, mute between them, from `from_s` on.
fn radio(from_s: f64, level: f64) -> Vec<f32> {
    let mut samples = band(noise(1, level));
    for (index, sample) in samples.iter_mut().enumerate() {
        let t = time(index);
        if t < from_s || (t - from_s) % 3.1 > 2.2 {
            *sample *= 1e-4;
        }
    }
    samples
}

/// A room: low rumble, a fan, a voice that swells and dies away.
fn room(level: f64) -> Vec<f32> {
    let mut low = 0.0;
    let hiss = noise(2, 1.0);
    (0..count())
        .map(|index| {
            let t = time(index);
            low = 0.99 * low + 0.05 * f64::from(hiss[index]);
            let swell = (t * 1.7).sin().max(0.0).powi(2);
            let voice = (t * std::f64::consts::TAU * 180.0).sin()
                + 0.5 * (t * std::f64::consts::TAU * 540.0).sin();
            (level * (low + 0.3 * swell * voice + 0.05 * f64::from(hiss[index]))) as f32
        })
        .collect()
}

fn hum(level: f64) -> Vec<f32> {
    (0..count())
        .map(|index| {
            let t = time(index) * std::f64::consts::TAU;
            (level * ((50.0 * t).sin() + 0.2 * (150.0 * t).sin() + 0.1 * (250.0 * t).sin())) as f32
        })
        .collect()
}

/// A chord with bright overtones that never stops.
fn music(level: f64) -> Vec<f32> {
    (0..count())
        .map(|index| {
            let t = time(index) * std::f64::consts::TAU;
            let beat = 0.6 + 0.4 * (time(index) * 12.0).sin();
            let sum: f64 = [220.0, 277.2, 329.6, 660.0, 1_320.0, 5_274.0, 6_644.0]
                .iter()
                .map(|hz| (hz * t).sin())
                .sum();
            (level * beat * sum / 7.0) as f32
        })
        .collect()
}

fn decide(planes: Vec<Vec<f32>>) -> ChannelChoice {
    let mut look = Look::new(planes.len(), SampleRate::new(RATE).expect("rate"));
    let whole = planes[0].len();
    for from in (0..whole).step_by(1_152) {
        let to = whole.min(from + 1_152);
        let part: Vec<Vec<f32>> = planes
            .iter()
            .map(|plane| plane[from..to].to_vec())
            .collect();
        look.listen(&part);
    }
    look.choice()
}

use super::filter::Section;
use crate::units::Hertz;

#[test]
fn the_radio_is_found_beside_anything() {
    let others: [(&str, Vec<f32>); 7] = [
        ("silence", vec![0.0; count()]),
        ("the recorder's own noise", noise(3, 1e-4)),
        ("a room", room(0.3)),
        ("a loud room", room(0.9)),
        ("loud hum", hum(0.7)),
        ("music", music(0.5)),
        ("loud music", music(0.9)),
    ];
    for (name, other) in others {
        for level in [0.3, 0.05] {
            let radio = radio(2.0, level);
            let left = decide(vec![radio.clone(), other.clone()]);
            assert_eq!(left, ChannelChoice::Only(0), "beside {name}, level {level}");
            let right = decide(vec![other.clone(), radio]);
            assert_eq!(
                right,
                ChannelChoice::Only(1),
                "beside {name}, level {level}"
            );
        }
    }
}

#[test]
fn open_hiss_is_a_radio_too() {
    let hiss = band(noise(4, 0.3));
    assert_eq!(decide(vec![hum(0.5), hiss.clone()]), ChannelChoice::Only(1));
    assert_eq!(decide(vec![hiss, room(0.5)]), ChannelChoice::Only(0));
}

#[test]
fn the_same_twice_is_averaged_unless_it_would_cancel() {
    let radio = radio(1.0, 0.3);
    assert_eq!(
        decide(vec![radio.clone(), radio.clone()]),
        ChannelChoice::Mean
    );
    let upside_down: Vec<f32> = radio.iter().map(|sample| -0.8 * sample).collect();
    assert_eq!(
        decide(vec![radio.clone(), upside_down]),
        ChannelChoice::Only(0)
    );
    let crosstalk: Vec<f32> = radio.iter().map(|sample| 0.01 * sample).collect();
    assert_eq!(decide(vec![crosstalk, radio]), ChannelChoice::Only(1));
}

#[test]
fn one_of_many_channels_is_found() {
    let planes = vec![hum(0.2), vec![0.0; count()], radio(1.0, 0.2), room(0.3)];
    assert_eq!(decide(planes), ChannelChoice::Only(2));
}

#[test]
fn all_silent_still_gives_a_choice() {
    assert_eq!(decide(vec![vec![0.0; count()]; 2]), ChannelChoice::Only(0));
}
