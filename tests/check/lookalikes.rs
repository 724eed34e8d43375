//! What has an even beat and is no cycle: keys pressed by an even hand, and a few seconds of anything.

use crate::sound::Sound;
use tailbeat::cause::verdict::{Cause, Label, Note, Withheld};

const RATE_HZ: u32 = 16_000;

/// Keys held for `on_s` with `off_s` between them, frequencies of ITU-T Q.23, over a little noise.
fn keypad(on_s: f64, off_s: f64, length_s: f64) -> Sound {
    let rate = f64::from(RATE_HZ);
    let (rows, columns) = ([697.0, 770.0, 852.0, 941.0], [1209.0, 1336.0, 1477.0]);
    let mut noise = 1u32;
    let samples = (0..(length_s * rate) as usize)
        .map(|i| {
            noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let hiss = (f64::from(noise) / f64::from(u32::MAX) - 0.5) * 2e-4;
            let t = i as f64 / rate;
            let press = ((t - 0.5) / (on_s + off_s)).floor().max(0.0) as usize;
            let since = t - 0.5 - press as f64 * (on_s + off_s);
            let tone = |hz: f64| 0.2 * (std::f64::consts::TAU * hz * t).sin();
            let down = (0.0..on_s).contains(&since);
            let keys = tone(rows[press / 3 % 4]) + tone(columns[press % 3]);
            (hiss + if down { keys } else { 0.0 }) as f32
        })
        .collect();
    Sound {
        rate_hz: RATE_HZ,
        samples,
    }
}

#[test]
fn keys_pressed_by_an_even_hand_are_no_cycles() {
    for (on_s, off_s) in [(0.8, 0.3), (0.5, 0.5), (1.5, 0.2), (0.3, 0.8)] {
        for length_s in [6.0, 45.0] {
            let check = keypad(on_s, off_s, length_s).check();
            let p = check.verdict.posterior[Cause::SelfDesense.index()];
            let label = check.verdict.label;
            assert!(
                label != Label::Cause(Cause::SelfDesense) && p <= 0.5,
                "{on_s} s on, {off_s} s off, {length_s} s: {label:?}, {p:.2}"
            );
        }
    }
}

#[test]
fn a_few_seconds_of_cycling_send_nobody_to_a_site() {
    let whole = Sound::of("cycling-open-squelch-note.ogg");
    assert_eq!(
        whole.check().verdict.label,
        Label::Cause(Cause::SelfDesense)
    );
    let part = Sound {
        samples: whole.samples[..whole.at(9.5)].to_vec(),
        ..whole
    };
    let verdict = part.check().verdict;
    assert_eq!(verdict.label, Label::Inconclusive);
    assert!(verdict.notes.contains(&Note::Withheld {
        why: Withheld::Short
    }));
    assert!(verdict.posterior[Cause::SelfDesense.index()] <= 0.5);
}
