//! The shipped network against the program that fitted it.

use super::*;
use serde::Deserialize;

/// Largest difference of a log chance: both add 32-bit floats in their own order.
const SAME_LOG: f32 = 2e-3;

#[derive(Deserialize)]
struct Example {
    rows: Vec<[f32; 11]>,
    every: usize,
    log_chances: Vec<[f32; Role::COUNT]>,
    modes: [f32; MODES],
    likeness: [f32; LIKENESSES],
}

fn frame(row: &[f32; 11]) -> Frame {
    Frame {
        level_db: row[0],
        low_db: row[1],
        bands_db: std::array::from_fn(|b| row[2 + b]),
        tonality: row[8],
        peak_hz: row[9],
        peak: row[10],
    }
}

#[test]
fn it_computes_what_the_fitting_program_computes() {
    // Written by tests/training/example.py, which runs the same weights in PyTorch.
    let example: Example =
        serde_json::from_str(include_str!("../../../tests/training/example.json")).unwrap();
    let frames: Vec<Frame> = example.rows.iter().map(frame).collect();
    let heard = Network::shipped().hear(&frames, 1);
    assert_eq!(heard.log_chances.len(), frames.len());
    for (i, want) in example.log_chances.iter().enumerate() {
        let got = &heard.log_chances[i * example.every];
        for (a, b) in got.iter().zip(want) {
            // What is all but impossible need not agree to the digit.
            assert!(
                (a - b).abs() < SAME_LOG * (1.0 - b),
                "{i}: {got:?} {want:?}"
            );
        }
    }
    for (a, b) in heard.modes.iter().zip(&example.modes) {
        assert!(
            (a - b).abs() < SAME_LOG * 5.0,
            "{:?} {:?}",
            heard.modes,
            example.modes
        );
    }
    let likeness = heard.likeness.unwrap();
    for (a, b) in likeness.iter().zip(&example.likeness) {
        assert!(
            (a - b).abs() < SAME_LOG * (5.0 - b),
            "{likeness:?} {:?}",
            example.likeness
        );
    }
}

#[test]
fn chances_sum_to_one_for_any_number_of_frames() {
    for count in [0usize, 1, 2, 3, 5, 16] {
        let frames = vec![Frame::default(); count];
        let heard = Network::shipped().hear(&frames, 1);
        assert_eq!(heard.log_chances.len(), count);
        let likeness = heard
            .likeness
            .map(|log| log.map(f32::exp).iter().sum::<f32>());
        assert_eq!(likeness.is_some(), count >= FINE * POOL);
        assert!(likeness.is_none_or(|sum| (sum - 1.0).abs() < 1e-4));
        for row in &heard.log_chances {
            let sum: f32 = row.iter().map(|x| x.exp()).sum();
            assert!((sum - 1.0).abs() < 1e-4, "{sum}");
        }
    }
}

/// Frames that are unlike each other, more than several parts of them.
fn many(count: usize) -> Vec<Frame> {
    let mut seed = 7u64;
    let mut chance = || {
        seed = (seed.wrapping_mul(6364136223846793005)).wrapping_add(1442695040888963407);
        (seed >> 40) as f32 / (1u64 << 24) as f32
    };
    (0..count)
        .map(|_| Frame {
            level_db: -60.0 * chance(),
            low_db: -60.0 * chance(),
            bands_db: std::array::from_fn(|_| -60.0 * chance()),
            tonality: chance(),
            peak_hz: 3_000.0 * chance(),
            peak: chance(),
        })
        .collect()
}

#[test]
fn the_number_of_threads_changes_not_a_bit() {
    let frames = many(7 * PART * FINE + 11);
    let alone = Network::shipped().hear(&frames, 1);
    for threads in [2, 3] {
        assert_eq!(Network::shipped().hear(&frames, threads), alone);
    }
}

#[test]
fn a_part_is_heard_as_within_the_whole() {
    // The second of three parts, worked out alone with its neighbours' rows, against one part that
    // holds all of them.
    let network = Network::shipped();
    let frames = many(3 * PART * FINE);
    let (scale, fixed) = features::learn(&frames);
    let run = Run {
        network: &network,
        frames: &frames,
        scale,
        setting: network.setting.apply(&fixed),
        steps: 3 * PART,
    };
    let made = |from: usize, count: usize| {
        let mut stream = vec![0.0; count * NEAR];
        let mut far = vec![0.0; count / POOL * FAR];
        run.near(from, &mut stream, &mut far);
        (stream, far)
    };
    let (whole, part) = (made(0, 3 * PART), made(PART, PART));
    assert_eq!(part.0, whole.0[PART * NEAR..2 * PART * NEAR]);
    assert_eq!(part.1, whole.1[PART / POOL * FAR..2 * PART / POOL * FAR]);
}

#[test]
fn gain_changes_nothing() {
    let frames: Vec<Frame> = (0..400)
        .map(|i| {
            let level = if (i / 50) % 2 == 0 { -70.0 } else { -30.0 } + (i % 7) as f32;
            Frame {
                level_db: level,
                low_db: level - 5.0,
                bands_db: [level - 10.0; crate::acoustics::frames::BANDS],
                tonality: 0.2,
                peak_hz: 900.0,
                peak: 10f32.powf(level / 20.0),
            }
        })
        .collect();
    let louder: Vec<Frame> = frames
        .iter()
        .map(|f| Frame {
            level_db: f.level_db + 12.0,
            low_db: f.low_db + 12.0,
            bands_db: f.bands_db.map(|b| b + 12.0),
            peak: f.peak * 10f32.powf(0.6),
            ..*f
        })
        .collect();
    let (a, b) = (
        Network::shipped().hear(&frames, 1),
        Network::shipped().hear(&louder, 1),
    );
    for (x, y) in a.log_chances.iter().zip(&b.log_chances) {
        for (p, q) in x.iter().zip(y) {
            assert!((p.exp() - q.exp()).abs() < 1e-3);
        }
    }
}

#[test]
fn a_damaged_file_says_what_is_wrong() {
    let good = include_bytes!("../../tuning/network.tbn");
    assert!(
        Network::from_bytes(&good[..good.len() - 8])
            .unwrap_err()
            .contains("incomplete")
    );
    assert!(
        Network::from_bytes(b"RIFF\n\n")
            .unwrap_err()
            .contains("not a network")
    );
    assert!(Network::from_bytes(b"").is_err());
}
