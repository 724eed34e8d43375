//! Asked to stop, once and twice.

use crate::stream::{events, feed, logged, one_episode, pipe, send, wait_for, watch};
use crate::written::names;
use std::io::{BufRead, BufReader};
use std::path::Path;

/// Whether a kept file is whole.
fn is_whole(path: &Path) {
    let mut kept = tailbeat::intake::open(path).unwrap();
    while kept.next_block().unwrap().is_some() {}
    let facts = kept.finish().unwrap();
    assert!(facts.damage.is_empty(), "{:?}", facts.damage);
}

#[test]
fn asked_to_stop_it_ends_the_episode_and_leaves_a_whole_file() {
    for (signal, status, form) in [("-TERM", 143, "wav"), ("-INT", 130, "flac")] {
        let dir = tempfile::tempdir().unwrap();
        let (keep, log) = (dir.path().join("kept"), dir.path().join("watch.jsonl"));
        let mut run = watch(&["--keep", keep.to_str().unwrap(), "--keep-as", form])
            .args(["--log", log.to_str().unwrap()])
            .spawn()
            .unwrap();
        // Up to the middle of the episode; the pipe stays open.
        feed(&mut run, &one_episode(5, 0));
        let stdin = run.stdin.take();
        wait_for(&log, "alarm", 1);
        send(signal, &run);
        let output = run.wait_with_output().unwrap();
        drop(stdin);
        assert_eq!(output.status.code(), Some(status));
        assert_eq!(
            events(&output),
            ["started", "alarm", "episode_ended", "stopped"]
        );
        let [name] = &names(&keep)[..] else {
            panic!("{:?}", names(&keep));
        };
        assert!(name.ends_with(form), "{name}");
        is_whole(&keep.join(name));
    }
}

#[test]
fn killed_while_it_keeps_sound_it_leaves_nothing_unfinished_behind() {
    let dir = tempfile::tempdir().unwrap();
    let (keep, log) = (dir.path().join("kept"), dir.path().join("watch.jsonl"));
    let mut run = watch(&["--keep", keep.to_str().unwrap()])
        .args(["--log", log.to_str().unwrap()])
        .spawn()
        .unwrap();
    feed(&mut run, &one_episode(5, 0));
    wait_for(&log, "alarm", 1);
    run.kill().unwrap();
    run.wait().unwrap();
    assert_eq!(names(&keep), Vec::<String>::new());
    assert_eq!(logged(&log), ["started", "alarm"]);
}

#[test]
fn asked_twice_it_does_not_wait_for_a_command_that_never_ends() {
    let dir = tempfile::tempdir().unwrap();
    let (keep, log) = (dir.path().join("kept"), dir.path().join("watch.jsonl"));
    let never = dir.path().join("never");
    pipe(&never);
    let command = format!("cat {}", never.display());
    let mut run = watch(&["--keep", keep.to_str().unwrap(), "--run", &command])
        .args(["--log", log.to_str().unwrap()])
        .spawn()
        .unwrap();
    feed(&mut run, &one_episode(5, 0));
    wait_for(&log, "alarm", 1);
    send("-INT", &run);
    let mut said = BufReader::new(run.stderr.take().unwrap()).lines();
    let waits = said.find(|line| {
        line.as_ref()
            .unwrap()
            .contains("alarm is still being given")
    });
    assert!(waits.is_some());
    // It would wait for ever, and all is told and kept by now.
    assert!(run.try_wait().unwrap().is_none());
    assert_eq!(
        logged(&log),
        ["started", "alarm", "episode_ended", "stopped"]
    );
    is_whole(&keep.join(&names(&keep)[0]));
    send("-INT", &run);
    let status = run.wait().unwrap();
    assert_eq!(status.code(), Some(130));
    // The command is let go.
    drop(std::fs::OpenOptions::new().write(true).open(never).unwrap());
}
