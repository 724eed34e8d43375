//! The sound around an episode, the log, and a disk that is full.

use crate::stream::{cycling, events, fed, happenings, one_episode, watch};
use crate::written::names;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// What `--keep-as` takes.
const FORMS: [&str; 2] = ["wav", "flac"];

/// Keeps the sound of one episode in a folder that outlives the test; gives what was told and the
/// folder.
fn kept_as(form: &str, samples: &[f32], more: &[&str]) -> (Output, PathBuf) {
    // `tests/outside/flac_check.py` reads both files again.
    let keep = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("watch")
        .join(form);
    let _ = std::fs::remove_dir_all(&keep);
    let words = ["--keep", keep.to_str().unwrap(), "--keep-as", form];
    let mut command = watch(&words);
    command.args(["--began", "2026-03-01T23:59:40"]).args(more);
    (fed(command, samples), keep)
}

#[test]
fn the_sound_is_kept_with_a_marker_at_each_drop_and_is_itself_a_recording() {
    let dir = tempfile::tempdir().unwrap();
    let log = dir.path().join("watch.jsonl");
    let samples = one_episode(40, 50);
    let mut copies = Vec::new();
    for form in FORMS {
        let (output, keep) = kept_as(form, &samples, &["--log", log.to_str().unwrap()]);
        let list = happenings(&output);
        let name = list[2]["sound"].as_str().unwrap();
        assert_eq!(names(&keep), [name]);
        assert!(name.ends_with(&format!("_cycling.{form}")), "{name}");
        let logged = std::fs::read_to_string(&log).unwrap();
        assert_eq!(logged, String::from_utf8(output.stdout.clone()).unwrap());
        std::fs::remove_file(&log).unwrap();
        let path = keep.join(name);
        let check = Command::new(env!("CARGO_BIN_EXE_tailbeat"))
            .args(["check", "--json", path.to_str().unwrap()])
            .output()
            .unwrap();
        let check: serde_json::Value = serde_json::from_slice(&check.stdout).unwrap();
        let drops = list[2]["drops"].as_u64().unwrap();
        let seconds = check["recording"]["duration_s"].as_f64().unwrap();
        assert!(seconds > 30.0 + 20.0, "{seconds}");
        // The name is dated by the first sample: 30 s before the cycling began.
        let told = |v: &serde_json::Value| -> jiff::civil::DateTime {
            v.as_str().unwrap().parse().unwrap()
        };
        let started = told(&check["recording"]["started_at"]);
        let before = told(&list[1]["start"]).duration_since(started);
        assert!(
            (30.0..31.0).contains(&before.as_secs_f64()),
            "{name} begins {before:?} before the cycling"
        );
        copies.push((path, drops));
    }
    let ((wav, drops), (flac, drops_again)) = (&copies[0], &copies[1]);
    assert_eq!(drops, drops_again);
    let bytes = std::fs::read(wav).unwrap();
    let marks = bytes.windows(4).filter(|w| w == b"labl").count();
    assert!(marks >= (*drops as usize).min(8), "{marks} for {drops}");
    let packed = std::fs::read(flac).unwrap();
    let points = String::from_utf8_lossy(&packed)
        .matches("NAME=carrier drop")
        .count();
    assert_eq!(points, marks);
    assert!(packed.len() < bytes.len());
    let decoded = |path: &Path| {
        let mut recording = tailbeat::intake::open(path).unwrap();
        let mut all = Vec::new();
        while let Some(block) = recording.next_block().unwrap() {
            all.extend_from_slice(block.samples);
        }
        all
    };
    let sound = decoded(wav);
    assert!(sound == decoded(flac), "other samples");
}

#[test]
fn flac_at_a_rate_that_it_does_not_hold_is_kept_as_wav_and_that_is_said() {
    let dir = tempfile::tempdir().unwrap();
    let (sound, rate) = cycling();
    let times = 192_000 / *rate as usize;
    let part = &sound[..sound.len().min(45 * *rate as usize)];
    let fast: Vec<f32> = (part.iter())
        .flat_map(|s| std::iter::repeat_n(*s, times))
        .collect();
    let mut command = Command::new(env!("CARGO_BIN_EXE_tailbeat"));
    command
        .args(["watch", "--rate", "192000", "--format", "s16le"])
        .args(["--keep", dir.path().to_str().unwrap(), "--keep-as", "flac"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    let output = fed(command, &fast);
    let errors = String::from_utf8(output.stderr.clone()).unwrap();
    assert_eq!(output.status.code(), Some(0), "{errors}");
    assert_eq!(errors.matches("192000 Hz is kept as WAV").count(), 1);
    let kept = names(dir.path());
    assert!(kept.len() == 1 && kept[0].ends_with(".wav"), "{kept:?}");
}

#[test]
fn the_oldest_clips_make_room() {
    let dir = tempfile::tempdir().unwrap();
    let old = dir.path().join("2025-01-01_00-00-00_cycling.wav");
    let older = dir.path().join("2025-01-01_00-00-00_cycling-2.flac");
    for path in [&old, &older] {
        std::fs::write(path, vec![0; 1_500_000]).unwrap();
    }
    std::fs::write(dir.path().join("mine.wav"), vec![0; 1_500_000]).unwrap();
    let words = ["--keep", dir.path().to_str().unwrap(), "--keep-most", "2"];
    fed(watch(&words), &one_episode(5, 40));
    let left = names(dir.path());
    assert!(
        !old.exists() && !older.exists() && left.contains(&"mine.wav".to_owned()),
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
    for form in FORMS {
        fill_up(&mount, &input, form);
    }
}

#[cfg(target_os = "linux")]
fn fill_up(mount: &Path, input: &Path, form: &str) {
    let script = format!(
        "mount -t tmpfs -o size=300k small {m} && {bin} watch --rate {rate} --format s16le \
         --keep {m} --keep-as {form} {input}; status=$?; ls -A {m} >&2; exit $status",
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
