//! Help, completions, manual page, colour, width, closed pipes.

use crate::check::tailbeat;
use crate::sounds::{beat, folder};
use std::io::Read;
use std::process::{Command, Stdio};

fn said(args: &[&str]) -> String {
    let run = tailbeat().args(args).assert().success();
    String::from_utf8(run.get_output().stdout.clone()).unwrap()
}

#[test]
fn help_teaches_with_examples_that_parse() {
    for args in [&["--help"][..], &["check", "--help"]] {
        let help = said(args);
        assert!(
            help.contains("Examples:") && help.contains("Exit status"),
            "{help}"
        );
    }
    // Each example line, with its file names replaced by one that is not there, must get past the
    // command line's parser: status 1, not 2.
    let help = said(&["--help"]) + &said(&["check", "--help"]);
    let mut tried = 0;
    for line in help
        .lines()
        .map(str::trim)
        .filter(|l| l.starts_with("tailbeat check "))
    {
        let line = line.split('>').next().unwrap();
        let words = line.split_whitespace().skip(1).map(|word| {
            if word.contains(".wav") || word.contains(".m4a") {
                "not-there.wav"
            } else {
                word
            }
        });
        let dir = folder();
        tailbeat()
            .current_dir(dir.path())
            .args(words)
            .assert()
            .code(1);
        tried += 1;
    }
    assert!(tried >= 6, "{tried}");
}

#[test]
fn wrong_usage_is_two_and_goes_to_standard_error() {
    for args in [
        &["check"][..],
        &["chekc"],
        &["check", "--nonsense", "x"],
        &["manual", "nothing"],
    ] {
        let run = tailbeat().args(args).assert().code(2);
        assert!(run.get_output().stdout.is_empty(), "{args:?}");
        assert!(!run.get_output().stderr.is_empty(), "{args:?}");
    }
    tailbeat().assert().code(2);
}

#[test]
fn completions_and_manual_know_the_commands() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = said(&["completions", shell]);
        assert!(
            script.contains("check") && script.contains("hang"),
            "{shell}"
        );
    }
    let page = said(&["manual"]);
    assert!(
        page.contains(".TH tailbeat 1") && page.contains("check"),
        "{page}"
    );
    assert!(said(&["manual", "check"]).contains("\\-\\-markers"));
}

#[test]
fn schemas_are_printed() {
    let schema: serde_json::Value = serde_json::from_str(&said(&["schema", "check"])).unwrap();
    assert_eq!(schema["title"], "tailbeat.check/1");
    tailbeat().args(["schema", "nothing"]).assert().code(2);
}

#[test]
fn no_colour_but_on_a_terminal_or_when_asked_for() {
    let dir = folder();
    let file = beat(dir.path(), "beat.wav", 6);
    let run = |args: &[&str], no_color: &str| {
        let mut command = tailbeat();
        command
            .env("NO_COLOR", no_color)
            .arg("check")
            .arg(&file)
            .args(args);
        let assert = command.assert().success();
        String::from_utf8(assert.get_output().stdout.clone()).unwrap()
    };
    assert!(!run(&[], "").contains('\u{1b}'), "a pipe is no terminal");
    assert!(!run(&[], "1").contains('\u{1b}'));
    assert!(
        run(&["--colour", "always"], "1").contains('\u{1b}'),
        "asked for outright"
    );
    assert!(!run(&["--color", "never"], "").contains('\u{1b}'));
}

#[test]
fn the_stated_width_is_kept() {
    let dir = folder();
    let file = beat(dir.path(), "beat.wav", 6);
    let mut command = tailbeat();
    command.env("COLUMNS", "50").arg("check").arg(&file);
    let run = command.assert().success();
    let text = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    let longest = text.lines().map(|l| l.chars().count()).max().unwrap();
    assert!((40..=50).contains(&longest), "{longest}");
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    let dir = folder();
    let files: Vec<_> = (0..6)
        .map(|n| beat(dir.path(), &format!("{n}.wav"), 30))
        .collect();
    let mut child = Command::new(env!("CARGO_BIN_EXE_tailbeat"))
        .arg("check")
        .args(&files)
        .args(["--json", "--jobs", "1"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = [0u8; 10];
    child.stdout.take().unwrap().read_exact(&mut first).unwrap();
    let mut errors = String::new();
    child
        .stderr
        .take()
        .unwrap()
        .read_to_string(&mut errors)
        .unwrap();
    let status = child.wait().unwrap();
    assert_eq!(errors, "");
    assert_eq!(status.code(), Some(0));
}
