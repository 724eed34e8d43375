//! Captions and markers of every fixture, for `tests/outside/markers_check.py`, which reads them
//! back with packages of other hands.

use crate::fixtures;
use serde_json::{Value, json};
use std::path::Path;
use tailbeat::Check;
use tailbeat::present::tables::{markers, vtt};
use tailbeat::units::{Instant, SampleRate};

/// The copy's silence is no longer than this, so that a day's recording stays small.
const LONGEST_S: f64 = 600.0;

fn captions(check: &Check) -> Vec<Value> {
    (vtt::cues(check).iter())
        .map(|cue| json!({ "start_ms": cue.start_ms, "end_ms": cue.end_ms, "text": cue.text }))
        .collect()
}

/// Writes a silent copy with the markers; gives those that lie within it.
fn write_copy(check: &Check, path: &Path) -> Vec<Value> {
    let rate = SampleRate::new(8000).unwrap();
    let samples = (check.recording.duration.get().min(LONGEST_S) * 8000.0) as u64;
    let list = markers::markers(check, rate, Instant(0.0));
    let blocks = [Ok(vec![0.0; samples as usize])];
    let mut file = std::fs::File::create(path).unwrap();
    markers::write(
        markers::Form::Wav,
        &mut file,
        "copy.wav",
        rate,
        blocks,
        &list,
    )
    .unwrap();
    (list.iter())
        .filter(|marker| marker.frame < samples)
        .map(|marker| json!({ "frame": marker.frame, "label": marker.label }))
        .collect()
}

#[test]
fn writes_captions_and_markers_for_the_live_check() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("markers");
    std::fs::create_dir_all(&folder).unwrap();
    let mut cases = Vec::new();
    let mut marked = 0;
    for (name, check) in fixtures::all() {
        std::fs::write(folder.join(format!("{name}.vtt")), vtt::render(&check)).unwrap();
        let marks = write_copy(&check, &folder.join(format!("{name}.wav")));
        marked += marks.len();
        cases.push(json!({ "name": name, "captions": captions(&check), "markers": marks }));
    }
    assert!(marked > 200, "too few markers to tell anything: {marked}");
    let text = serde_json::to_string(&json!({ "cases": cases })).unwrap();
    std::fs::write(folder.join("cases.json"), text).unwrap();
}
