//! Tones in a row: courtesy tones, DTMF digits, Morse.

use super::dsp::iir::smoothing;
use super::dsp::{Block, RATE_HZ, STEP_S};
use std::f64::consts::TAU;

/// Row frequencies of the DTMF grid (ITU-T Q.23, second-hand).
pub const DTMF_ROWS_HZ: [f64; 4] = [697.0, 770.0, 852.0, 941.0];
/// Column frequencies of the DTMF grid (ITU-T Q.23, second-hand).
pub const DTMF_COLUMNS_HZ: [f64; 4] = [1209.0, 1336.0, 1477.0, 1633.0];
/// Keys of the DTMF grid by rows.
pub const DTMF_KEYS: [&str; 4] = ["123A", "456B", "789C", "*0#D"];

/// Row and column frequency of a key.
#[must_use]
pub fn dtmf_hz(digit: char) -> Option<[f64; 2]> {
    DTMF_KEYS.iter().zip(DTMF_ROWS_HZ).find_map(|(keys, row)| {
        keys.chars()
            .position(|key| key == digit)
            .map(|column| [row, DTMF_COLUMNS_HZ[column]])
    })
}

/// One stretch of sound or rest; a frequency of 0 is silent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Note {
    /// Length.
    pub length_s: f64,
    /// Two frequencies; equal or zero for one tone or a rest.
    pub hz: [f64; 2],
}

impl Note {
    /// One tone.
    #[must_use]
    pub const fn tone(hz: f64, length_s: f64) -> Self {
        Self {
            length_s,
            hz: [hz, 0.0],
        }
    }

    /// A rest.
    #[must_use]
    pub const fn rest(length_s: f64) -> Self {
        Self {
            length_s,
            hz: [0.0, 0.0],
        }
    }
}

/// DTMF digits with pauses between them; unknown characters make a pause.
#[must_use]
pub fn dtmf(digits: &str) -> Vec<Note> {
    let press = |c| match dtmf_hz(c) {
        Some(hz) => [Note { length_s: 0.12, hz }, Note::rest(0.08)],
        None => [Note::rest(0.12), Note::rest(0.08)],
    };
    digits.chars().flat_map(press).collect()
}

/// Plays notes one after the other, with soft edges.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Player {
    notes: Vec<Note>,
    at: usize,
    left_s: f64,
    phase: [f64; 2],
    loudness: [f64; 2],
}

/// Rise and fall of a note: keeps clicks out without blurring its edges.
const EDGE_S: f64 = 0.0015;

impl Player {
    /// Starts a row of notes.
    pub fn play(&mut self, notes: Vec<Note>) {
        self.left_s = notes.first().map_or(0.0, |n| n.length_s);
        self.notes = notes;
        self.at = 0;
    }

    /// Stops at once.
    pub fn stop(&mut self) {
        self.at = self.notes.len();
    }

    /// Whether notes are left.
    #[must_use]
    pub fn playing(&self) -> bool {
        self.at < self.notes.len()
    }

    /// The note that sounds now.
    #[must_use]
    pub fn now(&self) -> Option<Note> {
        self.notes.get(self.at).copied()
    }

    /// Adds one block of the notes, of peak `level` for a single tone.
    pub fn add(&mut self, out: &mut Block, level: f64) {
        if !self.playing() && self.loudness.iter().all(|l| *l < 1e-5) {
            return;
        }
        let edge = smoothing(1.0 / RATE_HZ, EDGE_S / 3.0);
        let mut hz = [0.0; 2];
        for o in out.iter_mut() {
            if self.left_s <= 0.0 && self.playing() {
                self.at += 1;
                self.left_s += self.now().map_or(0.0, |n| n.length_s);
            }
            self.left_s -= 1.0 / RATE_HZ;
            let goal = self.now().map_or([0.0; 2], |n| n.hz);
            let each = if goal[1] > 0.0 { 0.7 } else { 1.0 };
            for i in 0..2 {
                // A tone that stops rings down at its own frequency.
                if goal[i] > 0.0 {
                    hz[i] = goal[i];
                }
                let wanted = if goal[i] > 0.0 { each } else { 0.0 };
                self.loudness[i] += edge * (wanted - self.loudness[i]);
                self.phase[i] += TAU * hz[i] / RATE_HZ;
                *o += (level * self.loudness[i] * self.phase[i].sin()) as f32;
            }
        }
        self.phase[0] %= TAU;
        self.phase[1] %= TAU;
        if !self.playing() {
            self.left_s = 0.0;
        }
        debug_assert!(self.left_s > -STEP_S - 1e-9);
    }
}

#[cfg(test)]
mod tests {
    use super::{Note, Player, dtmf_hz};
    use crate::simulate::dsp::{BLOCK, STEP_S};

    #[test]
    fn every_key_has_its_two_frequencies() {
        for (key, hz) in [
            ('1', [697.0, 1209.0]),
            ('5', [770.0, 1336.0]),
            ('D', [941.0, 1633.0]),
        ] {
            assert_eq!(dtmf_hz(key), Some(hz));
        }
        assert_eq!(dtmf_hz('x'), None);
    }

    #[test]
    fn a_row_of_notes_lasts_its_length() {
        let mut player = Player::default();
        player.play(vec![
            Note::tone(800.0, 0.1),
            Note::rest(0.05),
            Note::tone(900.0, 0.1),
        ]);
        let mut steps = 0;
        while player.playing() {
            player.add(&mut [0.0; BLOCK], 1.0);
            steps += 1;
        }
        assert!(
            (f64::from(steps) * STEP_S - 0.25).abs() <= STEP_S + 1e-9,
            "{steps}"
        );
    }
}
