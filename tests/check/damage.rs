//! Damaged variants of every committed recording, through the whole check and its outputs: no
//! panic, no number that is none, nothing beyond the recording's end.

use crate::injury::Damage;
use crate::sound::committed;
use std::path::Path;
use tailbeat::check::{Check, CheckOptions, check_file};
use tailbeat::present::json;

/// Variants of each recording, two of each kind of damage, drawn by seed. What the intake makes of more
/// of them is tried in `tests/intake/damage.rs`.
const SEEDS: u64 = 10;

/// A damaged file may not claim to be longer than so many times the whole one.
const LONGEST: f64 = 3.0;

/// Every number in the result is one, in order and within the recording.
fn sound_result(check: &Check, what: &str) {
    let length_s = check.recording.duration.get();
    let inside = |t: f64| t.is_finite() && (-0.1..=length_s + 0.1).contains(&t);
    for event in &check.timeline.events {
        assert!(inside(event.t.get()), "{what}: {event:?} in {length_s} s");
        assert!((0.0..=1.0).contains(&event.confidence), "{what}: {event:?}");
        assert!(event.sd.get() >= 0.0, "{what}: {event:?}");
    }
    for on in &check.timeline.carrier {
        let (start, end) = (on.start.get(), on.end.get());
        assert!(
            inside(start) && inside(end) && start <= end,
            "{what}: {on:?}"
        );
    }
    for pair in check.timeline.carrier.to_vec().windows(2) {
        assert!(pair[0].end <= pair[1].start, "{what}: {pair:?}");
    }
    for drop in &check.timeline.drops {
        let spans = [drop.gap, drop.on, drop.blip, drop.tail];
        let fine = |s: f64| s.is_finite() && (0.0..=length_s + 0.1).contains(&s);
        assert!(
            spans.iter().flatten().all(|s| fine(s.get())),
            "{what}: {drop:?}"
        );
        assert!(drop.quieting.is_none_or(|q| q.get().is_finite()), "{what}");
    }
    let posterior = check.verdict.posterior;
    assert!(
        posterior.iter().all(|p| (0.0..=1.0).contains(p)),
        "{what}: {posterior:?}"
    );
    let sum: f64 = posterior.iter().sum();
    assert!((sum - 1.0).abs() < 1e-6, "{what}: {sum}");
}

/// Checks damaged bytes; what is refused is refused in one line that names the file.
fn try_one(path: &Path, bytes: &[u8], whole_s: f64, what: &str) -> bool {
    std::fs::write(path, bytes).unwrap();
    match check_file(path, &CheckOptions::default(), &mut |_| {}) {
        Ok(check) => {
            let length_s = check.recording.duration.get();
            assert!(length_s <= LONGEST * whole_s, "{what}: {length_s} s long");
            sound_result(&check, what);
            let object: serde_json::Value = serde_json::from_str(&json::check(&check)).unwrap();
            assert_eq!(object["schema"], "tailbeat.check/1", "{what}");
            true
        }
        Err(error) => {
            let line = error.to_string();
            assert_eq!(line.lines().count(), 1, "{what}: {line}");
            assert!(line.contains("damaged."), "{what}: {line}");
            println!("{what}: {line}");
            false
        }
    }
}

/// All variants of one recording; at least `least` must still be read.
fn try_all(name: &str, least: u64) {
    let whole = std::fs::read(committed(name)).unwrap();
    let dir = tempfile::tempdir().unwrap();
    let ending = name.rsplit('.').next().unwrap();
    let path = dir.path().join(format!("damaged.{ending}"));
    let whole_s = {
        let check = check_file(&committed(name), &CheckOptions::default(), &mut |_| {});
        check.unwrap().recording.duration.get()
    };
    let mut read = 0;
    for seed in 0..SEEDS {
        let damage = Damage::draw(seed, whole.len());
        let what = format!("{name}, seed {seed}, {damage:?}");
        read += u64::from(try_one(&path, &damage.put_on(&whole, seed), whole_s, &what));
    }
    println!("{name}: {read} of {SEEDS} variants were read");
    assert!(read >= least, "{name}: only {read} of {SEEDS} were read");
}

#[test]
fn a_voice_note_in_ogg() {
    try_all("cycling-open-squelch-note.ogg", 8);
}

#[test]
fn a_voice_memo_in_mp4() {
    // Its index comes last and says where everything is: when it is gone or no longer where the
    // sizes before it point, nothing can be read.
    try_all("cycling-3s-hang-memo.m4a", 3);
}

#[test]
fn a_stream_in_mp3() {
    try_all("fading-walk-stream.mp3", 8);
}

#[test]
fn mu_law_in_wav() {
    try_all("kerchunks-mulaw-8k.wav", 8);
}

#[test]
fn a_browsers_recording_in_webm() {
    try_all("link-loop-browser.webm", 8);
}

#[test]
fn lossless_sound_in_flac() {
    try_all("talk-two-stations.flac", 8);
}
