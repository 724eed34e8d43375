//! Sub-audible tones, their decoder and their reverse burst; DTMF.

use crate::air::CHANNEL;
use crate::near;
use std::f64::consts::TAU;
use tailbeat::simulate::dsp::{BLOCK, RATE_HZ, STEP_S};
use tailbeat::simulate::squelch::{CTCSS_HZ, CTCSS_SHARE, ToneSquelch};
use tailbeat::simulate::tone::{Player, dtmf};
use tailbeat::simulate::truth::TrueEventKind;
use tailbeat::simulate::{Rendering, Scenario, render};

#[test]
fn the_table_of_tones_is_the_common_one() {
    // 42 tones by way of programs that cite TIA-603 (second-hand). Those from 100.0 to 192.8 Hz
    // follow 100 x 10^(0.015 k) but for 118.8 and 127.3, which are 0.1 Hz off; the smallest step
    // is 1.474 %, the closest pair 67.0 and 69.3 Hz.
    assert_eq!(CTCSS_HZ.len(), 42);
    for k in 0..20 {
        let law = (1000.0 * 10f64.powf(0.015 * f64::from(k))).round() / 10.0;
        let tone = CTCSS_HZ[12 + k as usize];
        let odd = if [118.8, 127.3].contains(&tone) {
            0.1
        } else {
            0.0
        };
        near(&format!("tone {k}"), (tone - law).abs(), odd, 1e-9);
    }
    let steps = CTCSS_HZ.windows(2);
    let least = steps.clone().map(|w| w[1] / w[0] - 1.0).fold(1.0, f64::min);
    near("smallest step", least, 0.01474, 5e-6);
    let closest = steps.map(|w| w[1] - w[0]).fold(100.0, f64::min);
    near("closest pair", closest, 2.3, 1e-9);
    for tone in [67.0, 69.3, 206.5, 210.7, 218.1, 225.7, 229.1, 250.3, 254.1] {
        assert!(CTCSS_HZ.contains(&tone), "{tone} Hz");
    }
}

/// Frequency near `hz`, from how far the phase moves from the first half to the second.
fn frequency_hz(samples: &[f32], hz: f64) -> f64 {
    // Whole periods in each half.
    let half_s = (samples.len() as f64 / 2.0 / RATE_HZ * hz).floor() / hz;
    let phase = |from_s: f64| {
        let first = (from_s * RATE_HZ) as usize;
        let (mut re, mut im) = (0.0, 0.0);
        for (i, x) in samples
            .iter()
            .enumerate()
            .skip(first)
            .take((half_s * RATE_HZ) as usize)
        {
            let (sin, cos) = (TAU * hz * i as f64 / RATE_HZ).sin_cos();
            re += f64::from(*x) * cos;
            im -= f64::from(*x) * sin;
        }
        f64::atan2(im, re)
    };
    let moved = phase(half_s) - phase(0.0);
    hz + (moved - TAU * (moved / TAU).round()) / (TAU * half_s)
}

/// A silent strong user's over and tail, as a discriminator output carries it.
fn quiet_over(repeater: &str) -> Rendering {
    let text = format!(
        "name = \"tone\"\ncause = \"ordinary_traffic\"\nduration_s = 3.4\n\
         [repeater]\nhang_s = 1.5\n{repeater}\n\
         [[user]]\nhold = [[0.1, 1.0]]\ncnr_db = 60\nmodulation = \"silence\"\n\
         [listener]\ncnr_db = 80\nsquelch = \"open\"\nde_emphasis = false\nlow_hz = 20\n\
         high_hz = 3000\ntuning_hz = 0\n[recorder]\nrate_hz = 48000\nbits = 24\n"
    );
    render(&Scenario::from_toml(&text, "tone.toml").unwrap(), 1).unwrap()
}

#[test]
fn the_repeater_sends_the_tone_that_it_is_told_to() {
    // Service manuals hold 0.3 % (second-hand); the simulator has no such error, so that noise is
    // all that is left.
    const SHARE: f64 = 5e-4;
    for hz in [67.0, 100.0, 127.3, 254.1] {
        let r = quiet_over(&format!("transmitter.ctcss_hz = {hz}"));
        let got = frequency_hz(&r.samples[36_000..96_000], hz);
        near("tone", got / hz, 1.0, SHARE);
    }
}

/// Steps until the decoder for `wants_hz` opens on a clean tone of `sent_hz`, within two seconds.
fn opens_after_s(wants_hz: f64, sent_hz: f64) -> Option<f64> {
    let mut decoder = ToneSquelch::new(CHANNEL, wants_hz, 0.05);
    let deviation = CTCSS_SHARE * CHANNEL.rated_deviation_hz();
    (0..(2.0 / STEP_S) as usize).find_map(|step| {
        let block = std::array::from_fn(|i| {
            let t = (step * BLOCK + i) as f64 / RATE_HZ;
            (deviation * (TAU * sent_hz * t).sin()) as f32
        });
        decoder.step(&block).then_some(step as f64 * STEP_S)
    })
}

#[test]
fn each_decoder_opens_to_its_tone_and_to_no_neighbour_but_the_closest() {
    for (i, hz) in CTCSS_HZ.iter().enumerate() {
        // A tone decoder needs 0.1 to 0.25 s: common practice, no source.
        let after = opens_after_s(*hz, *hz).unwrap();
        assert!((0.05..0.25).contains(&after), "{hz} Hz after {after} s");
        for beside in [i.checked_sub(1), Some(i + 1)].into_iter().flatten() {
            let Some(other) = CTCSS_HZ.get(beside) else {
                continue;
            };
            let opens = opens_after_s(*hz, *other).is_some();
            // The closest pair beats more slowly than the decoder smooths: it cannot tell them
            // apart, as 0.43 s of signal at least would be needed.
            let too_close = (hz - other).abs() < TOO_CLOSE_HZ;
            assert_eq!(opens, too_close, "{hz} Hz decoder on {other} Hz");
        }
    }
}

/// Half-width of a decoder that smooths over 0.12 s and opens at 0.6 of the tone:
/// `sqrt(1/0.6^2 - 1) / (2 pi 0.12)` is 1.8 Hz in the steady state, more at the tone's start.
const TOO_CLOSE_HZ: f64 = 2.35;

/// A correlator of the tone over whole periods, half before `t_s` and half after it, relative to
/// the same correlator on the unbroken tone.
fn straddling(samples: &[f32], tone_hz: f64, t_s: f64) -> f64 {
    let half = (5.0 / tone_hz * RATE_HZ) as usize;
    let middle = (t_s * RATE_HZ) as usize;
    let (mut re, mut im, mut power) = (0.0, 0.0, 0.0);
    for (i, x) in samples[middle - half..middle + half].iter().enumerate() {
        let (sin, cos) = (TAU * tone_hz * i as f64 / RATE_HZ).sin_cos();
        re += f64::from(*x) * cos;
        im += f64::from(*x) * sin;
        power += f64::from(*x).powi(2);
    }
    // A pure tone of amplitude a gives a n / 2 and a^2 n / 2.
    f64::hypot(re, im) / (power * half as f64).sqrt()
}

#[test]
fn a_reverse_burst_turns_the_tone_half_about_for_its_length() {
    // 180 degrees for about 150 ms (a page on reverse bursts, second-hand): a correlator that
    // straddles the step at its middle gives |cos(phi/2)| = 0, on the unbroken tone 1.
    let burst_s = 0.15;
    let r = quiet_over(&format!(
        "transmitter.ctcss_hz = 100.0\ntransmitter.tail_end = \"reverse_burst\"\n\
         transmitter.tail_end_s = {burst_s}"
    ));
    let drop_s = r
        .truth
        .heard(TrueEventKind::CarrierDrop)
        .next()
        .unwrap()
        .on_air_t_s;
    let steady = straddling(&r.samples, 100.0, drop_s - 0.6);
    near("unbroken tone", steady, 1.0, 0.02);
    // Filters delay what is heard, so the step is looked for near where it should be.
    let (depth, at_s) = (0..200)
        .map(|i| drop_s - burst_s - 0.01 + f64::from(i) * 0.2e-3)
        .map(|t| (straddling(&r.samples, 100.0, t), t))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .unwrap();
    near("straddling the step", depth, 0.0, 0.05);
    near("length of the burst", drop_s - at_s, burst_s, 0.006);
}

/// Power of one frequency by Goertzel's recursion over all samples.
fn goertzel(samples: &[f32], hz: f64) -> f64 {
    let turn = 2.0 * (TAU * hz / RATE_HZ).cos();
    let (mut a, mut b) = (0.0, 0.0);
    for x in samples {
        (a, b) = (f64::from(*x) + turn * a - b, a);
    }
    a * a + b * b - turn * a * b
}

#[test]
fn every_key_sends_its_row_and_its_column_long_enough() {
    // Grid: ITU-T Q.23 by page; frequencies within 1.5 %, twist within 4 dB, 40 ms at least:
    // Q.24 as quoted in programs and RFC 4733 (all second-hand).
    let rows = [697.0, 770.0, 852.0, 941.0];
    let columns = [1209.0, 1336.0, 1477.0, 1633.0];
    for (r, keys) in ["123A", "456B", "789C", "*0#D"].iter().enumerate() {
        for (c, key) in keys.chars().enumerate() {
            let notes = dtmf(&key.to_string());
            assert!(notes[0].length_s >= 0.040 && notes[1].length_s >= 0.040);
            let mut player = Player::default();
            player.play(notes);
            let mut samples = Vec::new();
            for _ in 0..(0.1 / STEP_S) as usize {
                let mut block = [0.0; BLOCK];
                player.add(&mut block, 1.0);
                samples.extend(block);
            }
            let peak = |grid: &[f64; 4]| {
                let powers = grid.map(|hz| goertzel(&samples, hz));
                let best = (0..4).max_by(|a, b| powers[*a].total_cmp(&powers[*b]));
                (best.unwrap(), powers)
            };
            let ((row, low), (column, high)) = (peak(&rows), peak(&columns));
            assert_eq!((row, column), (r, c), "key {key}");
            let twist_db = 10.0 * (high[column] / low[row]).log10();
            near(&format!("twist of {key}"), twist_db, 0.0, 4.0);
            // The tone is where it should be: 1.5 % beside it is weaker.
            for hz in [rows[r], columns[c]] {
                let at = goertzel(&samples, hz);
                for beside in [0.985, 1.015] {
                    assert!(goertzel(&samples, hz * beside) < at, "key {key}, {hz} Hz");
                }
            }
        }
    }
}
