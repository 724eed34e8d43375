//! `tailbeat check`: results on standard output, faults on standard error, exit statuses.

use crate::sounds::{beat, folder, no_recording};
use assert_cmd::Command;
use serde_json::Value;

pub fn tailbeat() -> Command {
    let mut command = Command::cargo_bin("tailbeat").unwrap();
    command.env_remove("NO_COLOR").env_remove("COLUMNS");
    command
}

fn lines(bytes: &[u8]) -> Vec<Value> {
    std::str::from_utf8(bytes)
        .unwrap()
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

fn valid(value: &Value, name: &str) -> bool {
    let schema = tailbeat::present::json::schema(name).unwrap();
    jsonschema::is_valid(&serde_json::from_str(&schema).unwrap(), value)
}

#[test]
fn one_file_gives_one_object_and_nothing_else() {
    let dir = folder();
    let file = beat(dir.path(), "beat.wav", 20);
    let run = tailbeat()
        .arg("check")
        .arg(&file)
        .arg("--json")
        .assert()
        .success();
    let output = run.get_output();
    assert!(
        output.stderr.is_empty(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let objects = lines(&output.stdout);
    assert_eq!(objects.len(), 1);
    assert!(valid(&objects[0], "check"));
    assert_eq!(objects[0]["recording"]["name"], "beat.wav");
    assert_eq!(objects[0]["recording"]["duration_s"], 20.0);
}

#[test]
fn one_bad_file_says_one_line_and_prints_nothing() {
    let dir = folder();
    let bad = no_recording(dir.path(), "words.mp3");
    for form in [&["--json"][..], &[]] {
        let run = tailbeat()
            .arg("check")
            .arg(&bad)
            .args(form)
            .assert()
            .code(1);
        let output = run.get_output();
        assert!(output.stdout.is_empty());
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(said.lines().count(), 1, "{said}");
        assert!(said.contains("words.mp3"), "{said}");
    }
}

#[test]
fn several_files_give_a_line_each_in_the_given_order() {
    let dir = folder();
    let names = ["long.wav", "words.mp3", "short.wav", "missing.wav"];
    let files = [
        beat(dir.path(), names[0], 40),
        no_recording(dir.path(), names[1]),
        beat(dir.path(), names[2], 6),
        dir.path().join(names[3]),
    ];
    let run = tailbeat()
        .arg("check")
        .args(&files)
        .arg("--json")
        .assert()
        .code(1);
    let objects = lines(&run.get_output().stdout);
    let said: Vec<&str> = objects
        .iter()
        .map(|o| o["recording"]["name"].as_str().unwrap())
        .collect();
    assert_eq!(said, names);
    for (object, kind) in objects.iter().zip(["check", "error", "check", "error"]) {
        assert!(valid(object, kind), "{object}");
    }
    assert_eq!(objects[3]["error"]["code"], "io");
    let errors = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    assert_eq!(errors.lines().count(), 2, "{errors}");
}

#[test]
fn standard_input_is_a_file_like_any_other() {
    let dir = folder();
    let file = beat(dir.path(), "beat.wav", 12);
    let named = tailbeat()
        .arg("check")
        .arg(&file)
        .arg("--json")
        .assert()
        .success();
    let piped = tailbeat()
        .args(["check", "-", "--json"])
        .write_stdin(std::fs::read(&file).unwrap())
        .assert()
        .success();
    let mut named = lines(&named.get_output().stdout).remove(0);
    let piped = lines(&piped.get_output().stdout).remove(0);
    assert_eq!(piped["recording"]["name"], "-");
    named["recording"]["name"] = "-".into();
    assert_eq!(named, piped);
    tailbeat()
        .args(["check", "-", "-"])
        .write_stdin("")
        .assert()
        .code(2);
    tailbeat()
        .args(["check", "-"])
        .write_stdin("")
        .assert()
        .code(1);
}

#[test]
fn the_same_recording_gives_the_same_bytes_on_one_core_and_on_several() {
    let dir = folder();
    let files: Vec<_> = (0..5)
        .map(|n| beat(dir.path(), &format!("{n}.wav"), 6 + 5 * (n % 3)))
        .collect();
    let run = |jobs: &str| {
        let assert = tailbeat()
            .arg("check")
            .args(&files)
            .args(["--json", "--jobs", jobs])
            .assert();
        assert.success().get_output().stdout.clone()
    };
    assert_eq!(run("1"), run("4"));
}

#[test]
fn a_single_recording_gives_the_same_bytes_on_two_threads_from_a_file_and_from_standard_input() {
    let dir = folder();
    let file = beat(dir.path(), "beat.wav", 40);
    let bytes = std::fs::read(&file).unwrap();
    let run = |what: &std::ffi::OsStr, jobs: &str| {
        let mut command = tailbeat();
        (command.arg("check").arg(what)).args(["--json", "--jobs", jobs]);
        let assert = command.write_stdin(bytes.clone()).assert();
        assert.success().get_output().stdout.clone()
    };
    assert_eq!(run(file.as_os_str(), "1"), run(file.as_os_str(), "2"));
    assert_eq!(run("-".as_ref(), "1"), run("-".as_ref(), "2"));
}

#[test]
fn what_is_stated_comes_back_and_flags_go_before_the_file() {
    let dir = folder();
    let file = beat(dir.path(), "beat.wav", 12);
    let settings = dir.path().join("tailbeat.toml");
    std::fs::write(
        &settings,
        "[station]\nhang_s = 2.0\nlistening = \"open_squelch\"\n",
    )
    .unwrap();
    let stated = |args: &[&str]| {
        let mut command = tailbeat();
        command
            .current_dir(dir.path())
            .arg("check")
            .arg(&file)
            .arg("--json")
            .args(args);
        lines(&command.assert().success().get_output().stdout).remove(0)["stated"].clone()
    };
    let found = stated(&[]);
    assert_eq!(found["hang_s"], 2.0, "found in the current folder");
    assert_eq!(found["mode"], "open_squelch");
    assert_eq!(stated(&["--hang", "2.4"])["hang_s"], 2.4);
    assert_eq!(stated(&["--mode", "squelched"])["mode"], "squelched");
}

#[test]
fn settings_that_make_no_sense_are_wrong_usage() {
    let dir = folder();
    let file = beat(dir.path(), "beat.wav", 6);
    let settings = dir.path().join("mine.toml");
    std::fs::write(&settings, "[station]\nhang = 2.0\n").unwrap();
    let run = tailbeat()
        .arg("check")
        .arg(&file)
        .arg("--config")
        .arg(&settings)
        .assert()
        .code(2);
    let said = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    assert!(
        said.contains("mine.toml, line 2") && said.contains("hang_s"),
        "{said}"
    );
    let absent = dir.path().join("none.toml");
    tailbeat()
        .arg("check")
        .arg(&file)
        .arg("--config")
        .arg(absent)
        .assert()
        .code(2);
    for wrong in [
        &["--hang", "-1"][..],
        &["--hang", "soon"],
        &["--mode", "loud"],
        &["--markers"],
    ] {
        tailbeat()
            .arg("check")
            .arg(&file)
            .args(wrong)
            .assert()
            .code(2);
    }
}

#[test]
fn clips_become_one_recording_on_one_clock() {
    let dir = folder();
    for (name, seconds) in [
        ("QQ0TB_20260314_210500.wav", 6),
        ("QQ0TB_20260314_210520.wav", 9),
    ] {
        beat(dir.path(), name, seconds);
    }
    let run = tailbeat()
        .args(["check", "--json", "--clips"])
        .arg(dir.path())
        .assert()
        .success();
    let objects = lines(&run.get_output().stdout);
    assert_eq!(objects.len(), 1);
    assert!(valid(&objects[0], "check"));
    let recording = &objects[0]["recording"];
    assert_eq!(recording["clips"]["count"], 2);
    assert_eq!(recording["clips"]["clock_resolution_s"], 1.0);
    assert_eq!(
        recording["duration_s"], 29.0,
        "20 s from start to start, and 9 s"
    );
    tailbeat()
        .args(["check", "--clips", "-"])
        .write_stdin("")
        .assert()
        .code(2);
}
