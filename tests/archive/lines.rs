//! One line a recording, on standard output.

use crate::logger::{archive, beat, folder, lines_of, tailbeat, word};
use serde_json::Value;
use std::io::Write;
use std::process::Stdio;

#[test]
fn a_folder_gives_a_line_for_every_recording_and_the_bad_one_is_a_row() {
    let dir = folder();
    archive(dir.path());
    let (status, lines, errors) = lines_of(tailbeat().args(["batch", word(dir.path())]));
    assert_eq!(status, 1, "one could not be read: {errors}");
    assert_eq!(lines.len(), 7);
    let schema = tailbeat()
        .args(["schema", "batch"])
        .output()
        .unwrap()
        .stdout;
    let schema: Value = serde_json::from_slice(&schema).unwrap();
    let schema = jsonschema::validator_for(&schema).unwrap();
    for line in &lines {
        assert!(schema.is_valid(line), "{line}");
        assert_ne!(line["check"].is_null(), line["error"].is_null(), "{line}");
    }
    let bad: Vec<&Value> = lines.iter().filter(|l| !l["error"].is_null()).collect();
    assert_eq!(bad.len(), 1);
    assert!(
        bad[0]["address"]
            .as_str()
            .unwrap()
            .ends_with("hill/broken.wav")
    );
    assert_eq!(bad[0]["coverage"]["why"], "unreadable");
    assert!(bad[0]["coverage"]["recorded_s"].is_null());
    assert!(bad[0]["files"][0]["sha256"].is_string());
    for (site, recordings) in [("coast", 2), ("hill", 3), ("mast", 2)] {
        let of_site = lines.iter().filter(|l| l["site"] == site).count();
        assert_eq!(of_site, recordings, "{site}");
    }
    assert!(errors.contains("1 files passed over"), "{errors}");
}

#[test]
fn what_batch_says_of_a_file_is_what_check_says() {
    let dir = folder();
    archive(dir.path());
    let file = dir.path().join("mast/2026/03/2026-03-03_10-00-00.wav");
    let (_, batch, _) = lines_of(tailbeat().args(["batch", word(&file)]));
    let (_, check, _) = lines_of(tailbeat().args(["check", "--json", word(&file)]));
    assert_eq!(batch[0]["check"], check[0]);
    assert_eq!(
        batch[0]["files"][0]["sha256"],
        check[0]["recording"]["sha256"]
    );
    let (heard, whole) = (
        &batch[0]["coverage"]["heard_s"],
        &batch[0]["coverage"]["recorded_s"],
    );
    let lost = batch[0]["coverage"]["unusable_s"].as_f64().unwrap();
    let sum = heard.as_f64().unwrap() + lost;
    assert!((sum - whole.as_f64().unwrap()).abs() < 1e-6);
}

#[test]
fn one_thread_two_threads_and_another_run_say_the_same() {
    let dir = folder();
    archive(dir.path());
    let run = |jobs: &str| {
        let (_, lines, _) = lines_of(tailbeat().args(["batch", word(dir.path()), "--jobs", jobs]));
        let mut lines: Vec<String> = lines.iter().map(Value::to_string).collect();
        lines.sort();
        lines
    };
    let one = run("1");
    assert_eq!(one, run("2"));
    assert_eq!(one, run("2"));
}

#[test]
fn lists_patterns_and_names_find_the_same() {
    let dir = folder();
    archive(dir.path());
    std::fs::remove_file(dir.path().join("hill/broken.wav")).unwrap();
    let pattern = format!("{}/**/*.wav", dir.path().display());
    let (status, by_pattern, errors) = lines_of(tailbeat().args(["batch", &pattern]));
    assert_eq!((status, by_pattern.len()), (0, 6), "{errors}");
    let addresses: Vec<&str> = (by_pattern.iter())
        .map(|l| l["address"].as_str().unwrap())
        .collect();
    let mut run = tailbeat()
        .args(["batch", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    run.stdin
        .take()
        .unwrap()
        .write_all((addresses.join("\n") + "\n").as_bytes())
        .unwrap();
    let out = run.wait_with_output().unwrap();
    assert!(out.status.success());
    let listed = String::from_utf8(out.stdout).unwrap().lines().count();
    assert_eq!(listed, 6);
}

#[test]
fn what_is_not_there_is_a_row_and_nonsense_is_refused() {
    let dir = folder();
    let gone = dir.path().join("gone.wav");
    let (status, lines, errors) = lines_of(tailbeat().args(["batch", word(&gone)]));
    assert_eq!((status, lines.len()), (1, 1), "{errors}");
    assert_eq!(lines[0]["error"]["code"], "io");
    let nothing = format!("{}/*.wav", dir.path().display());
    for wrong in [nothing.as_str(), "ftp://host/x", "a***b[.wav"] {
        let (status, lines, errors) = lines_of(tailbeat().args(["batch", wrong]));
        assert_eq!((status, lines.len()), (2, 0), "{wrong}: {errors}");
        assert_eq!(errors.lines().count(), 1, "{errors}");
    }
}

/// `/dev/full` is a disk that is always full.
#[cfg(target_os = "linux")]
#[test]
fn lines_that_cannot_be_written_are_no_success() {
    let dir = folder();
    beat(&dir.path().join("a.wav"), 0, 5);
    let run = tailbeat()
        .args(["batch", word(dir.path())])
        .stdout(
            std::fs::File::options()
                .write(true)
                .open("/dev/full")
                .unwrap(),
        )
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let output = run.wait_with_output().unwrap();
    let errors = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{errors}");
    assert!(errors.contains("standard output"), "{errors}");
}
