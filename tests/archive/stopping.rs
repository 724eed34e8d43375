//! Asked to stop while whoever reads the lines does not.

use crate::logger::{folder, tailbeat};
use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};
use std::time::Duration;

/// What a pipe holds before its writer waits.
const PIPE_BYTES: usize = 1 << 16;

#[test]
fn asked_twice_it_does_not_wait_for_a_reader_who_does_not_read() {
    let dir = folder();
    let path = dir.path().join("full.fifo");
    let made = Command::new("mkfifo").arg(&path).status().unwrap();
    assert!(made.success());
    let open = || {
        let mut options = std::fs::OpenOptions::new();
        options.read(true).write(true).open(&path).unwrap()
    };
    let mut full = open();
    full.write_all(&[b' '; PIPE_BYTES]).unwrap();
    let mut run = tailbeat()
        .args(["batch", "not-there.wav"])
        .stdout(open())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // The complaint comes right before the line that has no room.
    let mut said = BufReader::new(run.stderr.take().unwrap()).lines();
    assert!(said.next().unwrap().unwrap().contains("not-there.wav"));
    let mut asked = 0;
    let status = loop {
        if let Some(status) = run.try_wait().unwrap() {
            break status;
        }
        asked += 1;
        assert!(asked < 400, "it does not end");
        let pid = run.id().to_string();
        let _ = Command::new("kill").args(["-INT", &pid]).status().unwrap();
        std::thread::sleep(Duration::from_millis(50));
    };
    assert_eq!(status.code(), Some(130));
}
