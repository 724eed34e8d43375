//! Where the markers of kept sound stand.

use crate::stream::{cycling, fed, happenings, watch};
use std::path::Path;

/// A marker may stand so far from its drop: two looks place one drop within milliseconds, and its
/// edge is heard some milliseconds off.
const NEAR_S: f64 = 0.04;
/// Sound kept before the cycling began, at most.
const BEFORE_S: usize = 5;

/// The drops of the committed recording, by its labels.
fn true_drops() -> Vec<f64> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let path = root.join("corpus/recordings/cycling-open-squelch-note.truth.json");
    let truth: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let drops = truth["drops"].as_array().unwrap();
    drops
        .iter()
        .map(|d| d["drop_s"].as_f64().unwrap())
        .collect()
}

/// Sample frames of the cue points of a WAV file.
fn cue_points(wav: &[u8]) -> Vec<u32> {
    let word = |at: usize| u32::from_le_bytes(wav[at..at + 4].try_into().unwrap());
    let mut at = 12;
    while &wav[at..at + 4] != b"cue " {
        let length = word(at + 4) as usize;
        at += 8 + length + length % 2;
    }
    let points = word(at + 8) as usize;
    (0..points).map(|n| word(at + 12 + n * 24 + 20)).collect()
}

#[test]
fn every_drop_of_an_episode_that_outlasts_a_look_has_its_marker() {
    let (sound, rate) = cycling();
    let quiet = vec![0.0; BEFORE_S * *rate as usize];
    let times = 5;
    let samples = [quiet.clone(), sound.repeat(times), quiet].concat();
    let dir = tempfile::tempdir().unwrap();
    let words = [
        "--keep",
        dir.path().to_str().unwrap(),
        "--began",
        "2026-03-01T12:00:00",
    ];
    let told = happenings(&fed(watch(&words), &samples));
    let ended: Vec<_> = told
        .iter()
        .filter(|h| h["event"] == "episode_ended")
        .collect();
    let [ended] = ended[..] else {
        panic!("{told:?}");
    };
    let wav = std::fs::read(dir.path().join(ended["sound"].as_str().unwrap())).unwrap();
    let marks: Vec<f64> = (cue_points(&wav).iter())
        .map(|frame| f64::from(*frame) / f64::from(*rate))
        .collect();
    // All of the sound before the cycling is kept, as there are no thirty seconds of it.
    let begins = |n: usize| BEFORE_S as f64 + (n * sound.len()) as f64 / f64::from(*rate);
    let drops: Vec<f64> = (0..times)
        .flat_map(|n| true_drops().into_iter().map(move |t| t + begins(n)))
        .collect();
    for drop in &drops {
        let near = marks.iter().filter(|m| (*m - drop).abs() < NEAR_S).count();
        assert_eq!(near, 1, "a drop at {drop} s has {near} markers");
    }
    // What else there is are the drops that it counted where one playing ends and the next begins.
    assert_eq!(Some(marks.len() as u64), ended["drops"].as_u64());
}
