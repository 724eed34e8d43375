//! The files of `--out`.

use crate::check::tailbeat;
use crate::sounds::{RATE, beat, folder};

#[test]
fn one_recording_leaves_its_files_in_the_folder() {
    let dir = folder();
    let file = beat(dir.path(), "beat.wav", 12);
    let out = dir.path().join("made/here");
    tailbeat()
        .arg("check")
        .arg(&file)
        .arg("--out")
        .arg(&out)
        .arg("--markers")
        .assert()
        .success();
    let read = |name: &str| std::fs::read(out.join(name)).unwrap();
    let text = |name: &str| String::from_utf8(read(name)).unwrap();
    assert!(text("events.vtt").starts_with("WEBVTT\n"));
    assert!(text("events.csv").starts_with("t_s,"));
    assert!(read("timeline.png").starts_with(b"\x89PNG"));
    roxmltree::Document::parse(&text("timeline.svg")).unwrap();
    let result: serde_json::Value = serde_json::from_str(&text("check.json")).unwrap();
    let page = text("report.html");
    assert!(page.contains(result["recording"]["sha256"].as_str().unwrap()));
    assert!(
        page.contains("src=\"data:audio/wav;base64,"),
        "small enough to go in"
    );
    let copy = hound::WavReader::open(out.join("markers.wav")).unwrap();
    assert_eq!(
        (copy.spec().sample_rate, copy.duration()),
        (RATE, 12 * RATE)
    );
    let original: Vec<i16> = hound::WavReader::open(&file)
        .unwrap()
        .samples()
        .map(|s| s.unwrap())
        .collect();
    let copied: Vec<i16> = copy.into_samples().map(|s| s.unwrap()).collect();
    assert!(
        original
            .iter()
            .zip(&copied)
            .all(|(a, b)| (a - b).abs() <= 1),
        "the same sound"
    );
}

#[test]
fn several_recordings_leave_a_folder_each() {
    let dir = folder();
    let files = [beat(dir.path(), "a.wav", 6), beat(dir.path(), "b.wav", 6)];
    let out = dir.path().join("out");
    tailbeat()
        .arg("check")
        .args(&files)
        .arg("--out")
        .arg(&out)
        .assert()
        .success();
    for name in ["a.wav", "b.wav"] {
        assert!(out.join(name).join("report.html").is_file(), "{name}");
        assert!(
            !out.join(name).join("markers.wav").exists(),
            "not asked for"
        );
    }
}

#[test]
fn standard_input_can_be_read_twice() {
    let dir = folder();
    let bytes = std::fs::read(beat(dir.path(), "beat.wav", 6)).unwrap();
    let out = dir.path().join("out");
    let mut command = tailbeat();
    command
        .args(["check", "-", "--markers", "--out"])
        .arg(&out)
        .write_stdin(bytes);
    command.assert().success();
    let page = std::fs::read_to_string(out.join("report.html")).unwrap();
    assert!(page.contains("src=\"data:audio/wav;base64,"));
    assert_eq!(
        hound::WavReader::open(out.join("markers.wav"))
            .unwrap()
            .duration(),
        6 * RATE
    );
}

#[test]
fn a_folder_that_cannot_be_made_is_named() {
    let dir = folder();
    let file = beat(dir.path(), "beat.wav", 6);
    let inside = file.join("out");
    let run = tailbeat()
        .arg("check")
        .arg(&file)
        .arg("--out")
        .arg(&inside)
        .assert()
        .code(1);
    let said = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    assert!(
        said.contains("beat.wav") && said.lines().count() == 1,
        "{said}"
    );
}
