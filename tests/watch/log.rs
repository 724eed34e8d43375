//! The log on a disk that is full, and then is not.

use crate::stream::cycling;
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};

/// Bytes that a memory disk gives at a time.
const PAGE: usize = 4_096;

/// Lines up to shortly before the end of a page: the next one fits in part.
fn nearly_a_page() -> String {
    let line = r#"{"schema":"tailbeat.watch/1","event":"started","at":"2026-03-01T12:00:00"}"#;
    format!("{line}\n").repeat(PAGE / (line.len() + 1))
}

#[test]
fn what_a_full_disk_took_of_a_line_is_not_glued_to_the_next() {
    let dir = tempfile::tempdir().unwrap();
    let before = nearly_a_page();
    assert!(before.len() < PAGE, "{}", before.len());
    std::fs::write(dir.path().join("before"), &before).unwrap();
    std::fs::create_dir(dir.path().join("small")).unwrap();
    // A small disk of the test's own; when the watch says that it is full, room is made.
    let script = format!(
        "cd {dir} && mount -t tmpfs -o size=64k small small && cp before small/log
        head -c 100000 /dev/zero >small/filler 2>/dev/null
        exec 3<&0
        {bin} watch --rate {rate} --format s16le --log small/log <&3 >/dev/null 2>said &
        until grep -q 'has holes' said; do kill -0 $! || exit 9; sleep 0.05; done
        wc -c <small/log
        rm small/filler; echo room
        wait $!; status=$?; cat small/log; exit $status",
        dir = dir.path().display(),
        bin = env!("CARGO_BIN_EXE_tailbeat"),
        rate = cycling().1,
    );
    let mut run = Command::new("unshare")
        .args(["--user", "--map-root-user", "--mount", "sh", "-c", &script])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut out = BufReader::new(run.stdout.take().unwrap()).lines();
    let mut next = || out.next().unwrap().unwrap();
    let length: usize = next().trim().parse().unwrap();
    assert_eq!(length, before.len(), "part of a line stands there");
    assert_eq!(next(), "room");
    drop(run.stdin.take());
    let log: Vec<serde_json::Value> = (out.map(Result::unwrap))
        .map(|line| serde_json::from_str(&line).unwrap_or_else(|_| panic!("{line}")))
        .collect();
    assert!(run.wait().unwrap().success());
    assert_eq!(log.len(), before.lines().count() + 1);
    assert_eq!(log.last().unwrap()["event"], "stopped");
}
