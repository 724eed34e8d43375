//! The sound around an episode, the log, and a disk that is full.

use crate::stream::{cycling, events, fed, feed, happenings, one_episode, watch};
use std::path::Path;
use std::process::Command;

fn names(dir: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(dir)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn the_sound_is_kept_with_a_marker_at_each_drop_and_is_itself_a_recording() {
    let dir = tempfile::tempdir().unwrap();
    let (keep, log) = (dir.path().join("kept"), dir.path().join("watch.jsonl"));
    let words = [
        "--keep",
        keep.to_str().unwrap(),
        "--log",
        log.to_str().unwrap(),
    ];
    let mut command = watch(&words);
    command.args(["--began", "2026-03-01T23:59:40"]);
    let output = fed(command, &one_episode(40, 50));
    let list = happenings(&output);
    let name = list[2]["sound"].as_str().unwrap();
    assert_eq!(names(&keep), [name]);
    let logged = std::fs::read_to_string(&log).unwrap();
    assert_eq!(logged, String::from_utf8(output.stdout.clone()).unwrap());
    let path = keep.join(name);
    let reader = hound::WavReader::open(&path).unwrap();
    let seconds = f64::from(reader.duration()) / f64::from(cycling().1);
    assert!(seconds > 30.0 + 20.0, "{seconds}");
    let bytes = std::fs::read(&path).unwrap();
    let marks = bytes.windows(4).filter(|w| w == b"labl").count();
    let drops = list[2]["drops"].as_u64().unwrap() as usize;
    assert!(marks >= drops.min(8), "{marks} markers for {drops} drops");
    let check = Command::new(env!("CARGO_BIN_EXE_tailbeat"))
        .args(["check", "--json", path.to_str().unwrap()])
        .output()
        .unwrap();
    let check: serde_json::Value = serde_json::from_slice(&check.stdout).unwrap();
    let started = check["recording"]["started_at"].as_str().unwrap();
    assert!(started.starts_with("2026-03-02T00:0"), "{started}");
}

#[test]
fn the_oldest_clips_make_room() {
    let dir = tempfile::tempdir().unwrap();
    let old = dir.path().join("2025-01-01_00-00-00_cycling.wav");
    std::fs::write(&old, vec![0; 1_500_000]).unwrap();
    std::fs::write(dir.path().join("mine.wav"), vec![0; 1_500_000]).unwrap();
    let words = ["--keep", dir.path().to_str().unwrap(), "--keep-most", "2"];
    fed(watch(&words), &one_episode(5, 40));
    let left = names(dir.path());
    assert!(
        !old.exists() && left.contains(&"mine.wav".to_owned()),
        "{left:?}"
    );
    assert_eq!(left.len(), 2);
}

/// `/dev/full` is a disk that is always full.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told_once_and_the_alarm_is_given_all_the_same() {
    let dir = tempfile::tempdir().unwrap();
    let seen = dir.path().join("seen");
    let command = format!("cat > {}", seen.display());
    let output = fed(
        watch(&["--log", "/dev/full", "--run", &command]),
        &one_episode(5, 40),
    );
    assert_eq!(
        events(&output),
        ["started", "alarm", "episode_ended", "stopped"]
    );
    assert!(
        std::fs::read_to_string(&seen)
            .unwrap()
            .contains("\"alarm\"")
    );
    let errors = String::from_utf8(output.stderr).unwrap();
    let told: Vec<&str> = errors.lines().filter(|l| l.contains("/dev/full")).collect();
    assert_eq!(told.len(), 1, "{errors}");
    assert!(told[0].contains("the watch goes on"), "{errors}");
}

/// A small disk of the test's own, in a name space of its own where that is allowed; CI's and
/// developers' machines do.
#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_fills_up_while_sound_is_kept_costs_the_sound_only() {
    let dir = tempfile::tempdir().unwrap();
    let (mount, input) = (dir.path().join("small"), dir.path().join("in.raw"));
    std::fs::create_dir(&mount).unwrap();
    std::fs::write(&input, crate::stream::bytes(&one_episode(5, 40))).unwrap();
    let script = format!(
        "mount -t tmpfs -o size=300k small {m} && {bin} watch --rate {rate} --format s16le \
         --keep {m} {input}; status=$?; ls -A {m} >&2; exit $status",
        m = mount.display(),
        bin = env!("CARGO_BIN_EXE_tailbeat"),
        rate = cycling().1,
        input = input.display(),
    );
    let output = Command::new("unshare")
        .args(["--user", "--map-root-user", "--mount", "sh", "-c", &script])
        .output()
        .unwrap();
    let errors = String::from_utf8(output.stderr.clone()).unwrap();
    assert_eq!(output.status.code(), Some(0), "{errors}");
    assert_eq!(
        events(&output),
        ["started", "alarm", "episode_ended", "stopped"]
    );
    assert!(happenings(&output)[2]["sound"].is_null());
    let said = errors.lines().filter(|l| l.contains("not kept")).count();
    assert_eq!(said, 1, "{errors}");
    assert_eq!(
        errors.lines().count(),
        1,
        "something is left on the disk: {errors}"
    );
}

#[cfg(unix)]
#[test]
fn asked_to_stop_it_ends_the_episode_and_leaves_a_whole_file() {
    for (signal, status) in [("-TERM", 143), ("-INT", 130)] {
        let dir = tempfile::tempdir().unwrap();
        let mut run = watch(&["--keep", dir.path().to_str().unwrap()])
            .spawn()
            .unwrap();
        // Up to the middle of the episode; the pipe stays open.
        let samples = one_episode(5, 0);
        feed(&mut run, &samples);
        let pid = run.id().to_string();
        let stdin = run.stdin.take();
        let mut waited = 0;
        while names(dir.path()).is_empty() {
            std::thread::sleep(std::time::Duration::from_millis(50));
            waited += 1;
            assert!(waited < 1_200, "no alarm");
        }
        assert!(
            Command::new("kill")
                .args([signal, &pid])
                .status()
                .unwrap()
                .success()
        );
        let output = run.wait_with_output().unwrap();
        drop(stdin);
        assert_eq!(output.status.code(), Some(status));
        assert_eq!(
            events(&output),
            ["started", "alarm", "episode_ended", "stopped"]
        );
        let [name] = &names(dir.path())[..] else {
            panic!("{:?}", names(dir.path()));
        };
        hound::WavReader::open(dir.path().join(name)).unwrap();
    }
}
