//! Morse: timing and letters of the identifier.

use crate::near;
use tailbeat::simulate::dsp::{BLOCK, RATE_HZ};
use tailbeat::simulate::morse::{code, notes, unit_s};
use tailbeat::simulate::tone::{Note, Player};

fn length_s(notes: &[Note]) -> f64 {
    notes.iter().map(|n| n.length_s).sum()
}

#[test]
fn a_dot_lasts_as_long_as_the_speed_says() {
    // 1200 / wpm milliseconds: PARIS by custom.
    for (wpm, ms) in [(5.0, 240.0), (13.0, 92.308), (20.0, 60.0), (25.0, 48.0)] {
        near(&format!("{wpm} wpm"), unit_s(wpm) * 1e3, ms, 5e-4);
    }
}

#[test]
fn the_words_that_speeds_are_counted_by_have_their_lengths() {
    // PARIS 50 units with the space after it, CODEX 60 (custom; the spaces by ITU-R M.1677-1,
    // second-hand). The second word shows the space between them.
    for (word, units) in [("PARIS", 50.0), ("CODEX", 60.0)] {
        let once = length_s(&notes(word, 800.0, 20.0));
        let twice = length_s(&notes(&format!("{word} {word}"), 800.0, 20.0));
        near(word, (twice - once) / unit_s(20.0), units, 1e-9);
    }
}

#[test]
fn no_two_signs_share_a_code() {
    let signs: Vec<char> = ('A'..='Z').chain('0'..='9').collect();
    let mut codes: Vec<_> = signs.iter().filter_map(|c| code(*c)).collect();
    assert_eq!(codes.len(), 36);
    codes.sort_unstable();
    codes.dedup();
    assert_eq!(codes.len(), 36);
}

/// Lengths of sound and rest in units, alternating, from the played samples.
fn played_units(text: &str, wpm: f64) -> Vec<f64> {
    let mut player = Player::default();
    player.play(notes(text, 1050.0, wpm));
    let mut samples = Vec::new();
    while player.playing() {
        let mut block = [0.0; BLOCK];
        player.add(&mut block, 1.0);
        samples.extend(block);
    }
    // Loud where the last millisecond, one period of the pitch, has a peak of one half.
    let reach = (RATE_HZ / 1000.0) as usize;
    let loud = samples
        .windows(reach)
        .map(|w| w.iter().any(|x| x.abs() > 0.5));
    let mut runs: Vec<(bool, usize)> = Vec::new();
    for yes in loud {
        match runs.last_mut() {
            Some((state, count)) if *state == yes => *count += 1,
            _ => runs.push((yes, 1)),
        }
    }
    let unit = unit_s(wpm) * RATE_HZ;
    let first = runs.iter().position(|(loud, _)| *loud).unwrap();
    let last = runs.iter().rposition(|(loud, _)| *loud).unwrap();
    runs[first..=last]
        .iter()
        .map(|(_, count)| *count as f64 / unit)
        .collect()
}

#[test]
fn the_sound_itself_keeps_dots_dashes_and_spaces() {
    // ITU-R M.1677-1 (second-hand): dot 1, dash 3, inside a letter 1, between letters 3, between
    // words 7. "A N" is dot, dash, space, dash, dot.
    let want = [1.0, 1.0, 3.0, 7.0, 3.0, 1.0, 1.0];
    let got = played_units("A N", 20.0);
    assert_eq!(got.len(), want.len(), "{got:?}");
    for (got, want) in got.iter().zip(want) {
        // Soft edges and the window of the measurement: 2 ms of 60.
        near("element", *got, want, 0.04);
    }
    let got = played_units("ET", 13.0);
    assert_eq!(got.len(), 3, "{got:?}");
    near("between letters", got[1], 3.0, 0.04);
}
