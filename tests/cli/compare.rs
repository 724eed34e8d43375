//! `tailbeat compare`: good runs, what is written, verification, faults.

use crate::check::tailbeat;
use crate::sounds::{beat, folder, no_recording};
use serde_json::Value;
use std::path::Path;

fn valid(value: &Value, name: &str) -> bool {
    let schema = tailbeat::present::json::schema(name).unwrap();
    jsonschema::is_valid(&serde_json::from_str(&schema).unwrap(), value)
}

/// A long and a short recording of one beat, and a comparison of them in `proof`.
fn proven(dir: &Path) {
    beat(dir, "before.wav", 40);
    beat(dir, "after.wav", 21);
    tailbeat()
        .current_dir(dir)
        .args(["compare", "--before", "before.wav", "--after", "after.wav"])
        .args([
            "--out",
            "proof",
            "--station",
            "QQ0TB",
            "--work",
            "jumper 2 replaced",
        ])
        .assert()
        .success();
}

fn parsed(bytes: &[u8]) -> Value {
    serde_json::from_slice(bytes).unwrap()
}

/// Exit status and result of `--verify proof`.
fn verified(dir: &Path, more: &[&str]) -> (i32, Value) {
    let run = tailbeat()
        .current_dir(dir)
        .args(["compare", "--json", "--verify", "proof"])
        .args(more)
        .output()
        .unwrap();
    let value = parsed(&run.stdout);
    assert!(valid(&value, "verify"), "{value}");
    (run.status.code().unwrap(), value)
}

#[test]
fn a_comparison_leaves_a_dossier() {
    let dir = folder();
    proven(dir.path());
    let read = |name: &str| std::fs::read(dir.path().join("proof").join(name)).unwrap();
    let value = parsed(&read("compare.json"));
    assert!(valid(&value, "compare"), "{value}");
    assert_eq!(
        value["share"]["finding"], "still_there",
        "the same beat in both"
    );
    assert_eq!(value["stated"]["work"], "jumper 2 replaced");
    let page = String::from_utf8(read("dossier.html")).unwrap();
    for set in ["before", "after"] {
        let digest = value[set]["exhibits"][0]["sha256"].as_str().unwrap();
        assert!(page.contains(digest), "{set}");
    }
    assert!(page.contains("QQ0TB") && page.contains("jumper 2 replaced"));
    assert!(read("beats.png").starts_with(b"\x89PNG"));
    roxmltree::Document::parse(std::str::from_utf8(&read("beats.svg")).unwrap()).unwrap();
}

#[test]
fn a_recording_and_its_saved_report_compare_alike() {
    let dir = folder();
    proven(dir.path());
    let saved = tailbeat()
        .current_dir(dir.path())
        .args(["check", "before.wav", "--json"])
        .output()
        .unwrap();
    std::fs::write(dir.path().join("before.json"), saved.stdout).unwrap();
    let run = tailbeat()
        .current_dir(dir.path())
        .args([
            "compare",
            "--json",
            "--before",
            "before.json",
            "--after",
            "after.wav",
        ])
        .args(["--station", "QQ0TB", "--work", "jumper 2 replaced"])
        .output()
        .unwrap();
    let by_report = parsed(&run.stdout);
    let by_sound = parsed(&std::fs::read(dir.path().join("proof/compare.json")).unwrap());
    let differing = tailbeat::present::compare::differences(&by_sound, &by_report);
    // Files and their kind differ; numbers by the report's microseconds at most.
    let numbers: Vec<&String> = (differing.iter())
        .filter(|line| !line.starts_with("/before/exhibits/0/"))
        .collect();
    for line in numbers {
        let path = line.split(": ").next().unwrap();
        let of = |value: &Value| value.pointer(path).unwrap().as_f64();
        let (Some(a), Some(b)) = (of(&by_sound), of(&by_report)) else {
            panic!(
                "{line}: {:?} {:?}",
                by_sound.pointer(path),
                by_report.pointer(path)
            );
        };
        assert!((a - b).abs() < 1e-4 * a.abs().max(1e-3), "{line}");
    }
    assert_eq!(
        by_report["before"]["exhibits"][0]["content"][0]["kind"],
        "saved_check"
    );
}

#[test]
fn untouched_evidence_holds_wherever_the_dossier_lies() {
    let dir = folder();
    proven(dir.path());
    let (status, value) = verified(dir.path(), &[]);
    assert_eq!(status, 0, "{value}");
    assert_eq!(value["holds"], true);
    assert_eq!(
        value["pages"].as_array().unwrap().len(),
        3,
        "page and both pictures"
    );
    let elsewhere = dir.path().join("elsewhere");
    std::fs::create_dir(&elsewhere).unwrap();
    std::fs::rename(dir.path().join("proof"), elsewhere.join("proof")).unwrap();
    let (status, value) = verified(&elsewhere, &[]);
    assert_eq!(
        (status, value["exhibits"][0]["state"].as_str()),
        (1, Some("missing"))
    );
    assert_eq!(value["rerun"]["state"], "not_done");
    let (status, value) = verified(&elsewhere, &["--evidence", ".."]);
    assert_eq!(status, 0, "{value}");
}

#[test]
fn whatever_is_touched_is_found() {
    let change = |path: &Path, from: &str, to: &str| {
        let text = std::fs::read_to_string(path).unwrap();
        assert!(text.contains(from), "{from}");
        std::fs::write(path, text.replacen(from, to, 1)).unwrap();
    };
    let dir = folder();
    proven(dir.path());
    // One bit of sound.
    let sound = dir.path().join("after.wav");
    let good = std::fs::read(&sound).unwrap();
    let mut bad = good.clone();
    bad[5000] ^= 1;
    std::fs::write(&sound, bad).unwrap();
    let (status, value) = verified(dir.path(), &[]);
    assert_eq!(
        (status, value["exhibits"][1]["state"].as_str()),
        (1, Some("changed"))
    );
    std::fs::write(&sound, good).unwrap();
    // A number in the result.
    let result = dir.path().join("proof/compare.json");
    let kept = std::fs::read_to_string(&result).unwrap();
    change(
        &result,
        "\"finding\":\"still_there\"",
        "\"finding\":\"gone\"",
    );
    let (status, value) = verified(dir.path(), &[]);
    assert_eq!(
        (status, value["rerun"]["state"].as_str()),
        (1, Some("differs"))
    );
    let said = value["rerun"]["differences"].to_string();
    assert!(said.contains("/share/finding"), "{said}");
    std::fs::write(&result, kept).unwrap();
    // A word on the page.
    change(
        &dir.path().join("proof/dossier.html"),
        "jumper 2",
        "jumper 3",
    );
    let (status, value) = verified(dir.path(), &[]);
    assert_eq!(
        (status, value["pages"][0]["state"].as_str()),
        (1, Some("changed"))
    );
}

/// Status and complaint, which is one line and leaves standard output empty.
fn refused(dir: &Path, args: &[&str]) -> (i32, String) {
    let run = tailbeat()
        .current_dir(dir)
        .arg("compare")
        .args(args)
        .output()
        .unwrap();
    assert!(run.stdout.is_empty(), "{args:?}");
    let said = String::from_utf8(run.stderr).unwrap();
    (run.status.code().unwrap(), said)
}

#[test]
fn faults_name_the_file_and_the_remedy() {
    let dir = folder();
    let at = dir.path();
    beat(at, "a.wav", 12);
    no_recording(at, "words.txt");
    std::fs::write(at.join("other.json"), "{\"schema\":\"tailbeat.tee/1\"}").unwrap();
    std::fs::write(at.join("torn.json"), "{\"schema\":\n\"tailbeat.check/1\",").unwrap();
    let cases: [(&[&str], i32, &str); 9] = [
        (
            &["--before", "a.wav", "--after", "gone.wav"],
            1,
            "gone.wav: ",
        ),
        (
            &["--before", "a.wav", "--after", "words.txt"],
            1,
            "words.txt: this is not a sound",
        ),
        (
            &["--before", "other.json", "--after", "a.wav"],
            1,
            "other.json line 1: a result of the kind",
        ),
        (
            &["--before", "torn.json", "--after", "a.wav"],
            1,
            "torn.json line 2: the saved result is",
        ),
        (
            &["--before", "a.wav", "--after", "a.wav"],
            2,
            "--after a.wav: holds the same as a.wav",
        ),
        (
            &["--before", ".", "--after", "a.wav"],
            1,
            ".: this is a folder; name the",
        ),
        (
            &["--before", "-", "--after", "a.wav"],
            2,
            "-: standard input leaves no file",
        ),
        (
            &["--verify", "other.json"],
            1,
            "other.json: this is no result of `compare`",
        ),
        (&["--verify", "nowhere"], 1, "nowhere: "),
    ];
    for (args, status, expected) in cases {
        let (got, said) = refused(at, args);
        assert_eq!(got, status, "{args:?}: {said}");
        assert!(said.contains(expected), "{args:?}: {said}");
        assert_eq!(said.lines().count(), 1, "{args:?}: {said}");
    }
    for args in [
        &["--before", "a.wav"][..],
        &["--after", "a.wav"],
        &[],
        &["--verify", "x", "--before", "a.wav", "--after", "b.wav"],
        &["--evidence", "x", "--before", "a.wav", "--after", "b.wav"],
    ] {
        assert_eq!(refused(at, args).0, 2, "{args:?}");
    }
    let long = "x".repeat(101);
    let words = [
        "--before",
        "a.wav",
        "--after",
        "gone.wav",
        "--station",
        &long,
    ];
    assert_eq!(refused(at, &words).0, 2);
}
