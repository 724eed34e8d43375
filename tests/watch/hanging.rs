//! A source that delivers nothing and does not end.

use crate::stream::{bytes, feed, logged, one_episode, pipe, wait_for, watch};
use std::io::Write;
use std::process::Stdio;

/// Once the log tells a happening, this is fed.
fn fed_after(log: &std::path::Path, words: &[&str], pieces: &[&[f32]]) -> Vec<String> {
    let mut run = watch(words)
        .args(["--log", log.to_str().unwrap()])
        .spawn()
        .unwrap();
    for (n, piece) in pieces.iter().enumerate() {
        if n > 0 {
            wait_for(log, "source_hangs", n);
        }
        feed(&mut run, piece);
    }
    drop(run.stdin.take());
    assert!(run.wait_with_output().unwrap().status.success());
    logged(log)
}

#[test]
fn live_sound_that_stops_is_told_and_what_comes_later_is_not_joined_to_it() {
    let dir = tempfile::tempdir().unwrap();
    let sound = one_episode(5, 0);
    let told = fed_after(&dir.path().join("log"), &[], &[&sound, &sound]);
    let once = ["alarm", "episode_ended"];
    let hangs = ["source_hangs", "source_back"];
    let all = [&["started"], &once[..], &hangs, &once, &["stopped"]].concat();
    assert_eq!(told, all);
}

#[test]
fn sound_that_is_played_back_goes_on_where_it_stopped() {
    let dir = tempfile::tempdir().unwrap();
    let sound = one_episode(5, 0);
    let (one, other) = sound.split_at(sound.len() / 4);
    let words = ["--began", "2026-03-01T12:00:00"];
    let told = fed_after(&dir.path().join("log"), &words, &[one, other]);
    let heard = ["alarm", "episode_ended", "stopped"];
    let all = [&["started", "source_hangs", "source_back"], &heard[..]].concat();
    assert_eq!(told, all);
}

#[test]
fn a_pipe_that_nobody_writes_is_no_silence() {
    let dir = tempfile::tempdir().unwrap();
    let (radio, log) = (dir.path().join("radio.fifo"), dir.path().join("log"));
    pipe(&radio);
    let mut run = watch(&["--log", log.to_str().unwrap()])
        .arg(&radio)
        .stdin(Stdio::null())
        .spawn()
        .unwrap();
    wait_for(&log, "source_hangs", 1);
    let mut writer = std::fs::OpenOptions::new()
        .write(true)
        .open(&radio)
        .unwrap();
    writer.write_all(&bytes(&[0.1; 8_000])).unwrap();
    drop(writer);
    assert!(run.wait().unwrap().success());
    assert_eq!(logged(&log), ["source_hangs", "started", "stopped"]);
}
