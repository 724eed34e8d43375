//! DTMF digits (ITU-T Q.23 frequencies) by Goertzel filters on the block's sound.

use super::tones::ToneRun;
use crate::acoustics::frames::{Frame, FrameBlock};
use crate::units::{Hertz, Seconds};
use pulp::Arch;
use std::f64::consts::PI;

/// Row frequencies of ITU-T Q.23, hertz.
const ROWS_HZ: [f64; 4] = [697.0, 770.0, 852.0, 941.0];
/// Column frequencies of ITU-T Q.23, hertz.
const COLUMNS_HZ: [f64; 4] = [1209.0, 1336.0, 1477.0, 1633.0];
const KEYS: [[char; 4]; 4] = [
    ['1', '2', '3', 'A'],
    ['4', '5', '6', 'B'],
    ['7', '8', '9', 'C'],
    ['*', '0', '#', 'D'],
];
/// Analysis window in seconds: resolves the 73 Hz between rows, and two fit in the shortest
/// digit that must be accepted (40 ms, ITU-T Q.24 as quoted in RFC 4733).
const WINDOW_S: f64 = 0.0256;
/// Least share of the window's power in the two tones.
const SHARE: f64 = 0.75;
/// Largest twist in dB that a receiver must accept (ITU-T Q.24: column over row 4, under 8).
const TWIST_DB: f64 = 9.0;

/// Least tonality of a frame within a digit. The stronger of two tones that share at least
/// [`SHARE`] of the power has 0.37 of it or more, and a frame of 16 ms sees a little less.
const TONALITY_MIN: f32 = 0.2;
/// Where the strongest line of such a frame lies, hertz: at one of the frequencies, give or take what
/// 16 ms cannot tell apart. Nine in ten windows of plain noise fail here, before any filter has run.
const LINES_HZ: [(f32, f32); 2] = [(625.0, 1010.0), (1130.0, 1720.0)];

/// Digits of at least 40 ms, in order of time.
pub fn find(block: &FrameBlock) -> Vec<ToneRun> {
    if block.frames.is_empty() {
        return Vec::new();
    }
    let rate = f64::from(block.audio_rate.hz());
    let length = (WINDOW_S * rate).round() as usize;
    let hop = length / 2;
    let mut digits: Vec<ToneRun> = Vec::new();
    let mut run: Option<(char, usize, usize)> = None;
    let mut close = |run: &mut Option<(char, usize, usize)>| {
        if let Some((digit, first, last)) = run.take()
            && last - first >= length
        {
            let time = |sample: usize| block.audio_start + Seconds(sample as f64 / rate);
            let (start, end) = (time(first), time(last));
            digits.push(ToneRun {
                from: block.index_of(start),
                to: block.index_of(end) + 1,
                start,
                end,
                frequency: Hertz(frequency_of(digit)),
                digit: Some(digit),
            });
        }
    };
    let filters = filters(rate);
    // One of the three frames in the middle of the window, which lie within it or all but.
    let tonal = |at: usize| {
        let middle = Seconds((at + length / 2) as f64 / rate);
        let middle = block.index_of(block.audio_start + middle);
        let last = (middle + 1).min(block.frames.len() - 1);
        block.frames[middle.saturating_sub(1)..=last]
            .iter()
            .any(like_a_digit)
    };
    let mut at = 0;
    while at + length <= block.audio.len() {
        let digit = tonal(at)
            .then(|| digit_in(&block.audio[at..at + length], &filters))
            .flatten();
        match (digit, &mut run) {
            (Some(d), Some((have, _, last))) if d == *have => *last = at + length,
            (Some(d), _) => {
                close(&mut run);
                run = Some((d, at, at + length));
            }
            (None, _) => close(&mut run),
        }
        at += hop;
    }
    close(&mut run);
    digits
}

/// Whether a frame may lie within a digit.
fn like_a_digit(frame: &Frame) -> bool {
    let near = |(low, high): &(f32, f32)| (*low..=*high).contains(&frame.peak_hz);
    frame.tonality >= TONALITY_MIN && LINES_HZ.iter().any(near)
}

/// Row frequency of a digit, hertz.
fn frequency_of(digit: char) -> f64 {
    KEYS.iter()
        .zip(ROWS_HZ)
        .find(|(row, _)| row.contains(&digit))
        .map_or(0.0, |(_, hz)| hz)
}

/// Factor of each row's and then each column's filter.
fn filters(rate: f64) -> [f64; 8] {
    let hz = |i: usize| if i < 4 { ROWS_HZ[i] } else { COLUMNS_HZ[i - 4] };
    std::array::from_fn(|i| 2.0 * (2.0 * PI * hz(i) / rate).cos())
}

fn digit_in(samples: &[f32], filters: &[f64; 8]) -> Option<char> {
    let energy: f64 = samples.iter().map(|s| f64::from(*s).powi(2)).sum();
    if energy < 1e-7 * samples.len() as f64 {
        return None;
    }
    // As many filters at a time as a vector of this processor holds.
    let powers = Arch::new().dispatch(|| goertzel(samples, filters));
    let strongest = |set: &[f64]| -> (usize, f64) {
        set.iter()
            .copied()
            .enumerate()
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap_or((0, 0.0))
    };
    let (row, row_power) = strongest(&powers[..4]);
    let (column, column_power) = strongest(&powers[4..]);
    let twist_db = 10.0 * (column_power / row_power).log10();
    (row_power + column_power >= SHARE * energy && twist_db.abs() <= TWIST_DB)
        .then_some(KEYS[row][column])
}

/// Energy of the component of each filter: `2 |X|^2 / N`. All of them at once, side by side.
#[inline(always)]
fn goertzel(samples: &[f32], filters: &[f64; 8]) -> [f64; 8] {
    let (mut a, mut b) = ([0.0f64; 8], [0.0f64; 8]);
    for s in samples {
        let s = f64::from(*s);
        for i in 0..8 {
            let c = s + filters[i] * a[i] - b[i];
            b[i] = a[i];
            a[i] = c;
        }
    }
    std::array::from_fn(|i| {
        2.0 * (a[i] * a[i] + b[i] * b[i] - filters[i] * a[i] * b[i]) / samples.len() as f64
    })
}
