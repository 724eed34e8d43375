//! Cut short by whatever, and on again.

use crate::logger::{archive, beat, folder, results, tailbeat, word};
use crate::written::names;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

fn batch(root: &Path, out: &Path) -> Command {
    let mut command = tailbeat();
    command.args(["batch", word(root), "--out", word(out)]);
    command
}

fn said(command: &mut Command) -> String {
    String::from_utf8(command.output().unwrap().stderr).unwrap()
}

#[test]
fn killed_again_and_again_it_ends_with_the_same_results() {
    let dir = folder();
    let root = dir.path().join("logger");
    for n in 0..24 {
        beat(&root.join(format!("hill/{n:02}.wav")), n, n + 4);
    }
    let whole = dir.path().join("whole");
    assert!(batch(&root, &whole).output().unwrap().status.success());
    let out = dir.path().join("cut");
    let (mut kills, mut patience) = (0, 8);
    loop {
        let mut run = batch(&root, &out)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_millis(patience));
        if let Some(status) = run.try_wait().unwrap() {
            assert!(status.success());
            break;
        }
        run.kill().unwrap();
        run.wait().unwrap();
        kills += 1;
        patience += 5;
        if out.join("results.jsonl").exists() {
            // What is whole after a kill stays, and is what the whole run says.
            let all = results(&whole);
            assert!(results(&out).iter().all(|line| all.contains(line)));
        }
        assert!(kills < 400, "it never ends");
    }
    assert!(kills >= 5, "killed only {kills} times");
    println!("killed {kills} times");
    let left = names(&out);
    assert!(
        left.iter().all(|n| !n.starts_with('.')),
        "unfinished: {left:?}"
    );
    assert_eq!(results(&out), results(&whole));
    for table in ["recordings", "transmissions", "drops", "episodes"] {
        let name = format!("{table}.parquet");
        let read = |dir: &Path| std::fs::read(dir.join(&name)).unwrap();
        assert_eq!(read(&out), read(&whole), "{table}");
    }
}

#[test]
fn half_a_line_is_taken_off_and_another_files_line_refused() {
    let dir = folder();
    let (root, out) = (dir.path().join("logger"), dir.path().join("out"));
    beat(&root.join("hill/a.wav"), 0, 5);
    assert!(batch(&root, &out).output().unwrap().status.success());
    let path = out.join("results.jsonl");
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, format!("{text}{}", &text[..text.len() / 2])).unwrap();
    assert!(batch(&root, &out).output().unwrap().status.success());
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    std::fs::write(&path, format!("{text}{{\"schema\":\"other\"}}\n")).unwrap();
    let errors = said(&mut batch(&root, &out));
    assert!(
        errors.contains("line 2") && errors.lines().count() == 1,
        "{errors}"
    );
}

#[test]
fn only_what_is_new_is_heard_and_content_counts_not_names() {
    let dir = folder();
    let (root, out) = (dir.path().join("logger"), dir.path().join("out"));
    archive(&root);
    std::fs::remove_file(root.join("hill/broken.wav")).unwrap();
    let first = said(&mut batch(&root, &out));
    assert!(
        first.contains("6 heard now, 0 known by their content, 0 as they were"),
        "{first}"
    );
    let again = said(&mut batch(&root, &out));
    assert!(
        again.contains("0 heard now, 0 known by their content, 6 as they were"),
        "{again}"
    );
    // A copy under another name, a file that was touched, one that changed, one that is new.
    let path = |name: &str| root.join(name);
    std::fs::copy(
        path("hill/2026/03/2026-03-02_10-00-00.wav"),
        path("mast/copy.wav"),
    )
    .unwrap();
    let touched = path("coast/2026/03/2026-03-01_10-00-00.wav");
    let bytes = std::fs::read(&touched).unwrap();
    std::thread::sleep(Duration::from_millis(20));
    std::fs::write(&touched, bytes).unwrap();
    beat(&path("coast/2026/03/2026-03-01_11-00-00.wav"), 7, 16);
    beat(&path("coast/new.wav"), 3, 9);
    let third = said(&mut batch(&root, &out));
    assert!(
        third.contains("2 heard now, 2 known by their content, 4 as they were"),
        "{third}"
    );
    assert!(third.contains("; 8 in the results"), "{third}");
    // The copy's own name tells no time, and none is taken from the file that it is a copy of.
    let lines: Vec<serde_json::Value> = (results(&out).iter())
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    let of = |name: &str| {
        let line = lines
            .iter()
            .find(|l| l["address"].as_str().unwrap().ends_with(name));
        line.unwrap()["check"]["recording"].clone()
    };
    let copy = of("mast/copy.wav");
    assert_eq!(copy["name"], "copy.wav");
    assert!(copy["started_at"].is_null(), "{copy}");
    let original = of("hill/2026/03/2026-03-02_10-00-00.wav");
    assert_eq!(original["started_at"], "2026-03-02T10:00:00");
    assert_eq!(copy["sha256"], original["sha256"]);
    // Another setting is another result.
    let other = said(batch(&root, &out).args(["--hang", "3"]));
    assert!(
        other.contains(" 0 as they were; 8 in the results"),
        "{other}"
    );
}

#[test]
fn two_runs_in_one_folder_are_refused() {
    let dir = folder();
    let (root, out) = (dir.path().join("logger"), dir.path().join("out"));
    std::fs::create_dir_all(&out).unwrap();
    beat(&root.join("hill/a.wav"), 0, 5);
    let held = std::fs::File::create(out.join("results.jsonl")).unwrap();
    held.lock().unwrap();
    let run = batch(&root, &out).output().unwrap();
    assert_eq!(run.status.code(), Some(1));
    let errors = String::from_utf8(run.stderr).unwrap();
    assert!(errors.contains("another run is at work"), "{errors}");
}

#[cfg(unix)]
#[test]
fn asked_to_stop_it_leaves_whole_files_and_says_how_to_go_on() {
    let dir = folder();
    let (root, out) = (dir.path().join("logger"), dir.path().join("out"));
    for n in 0..30 {
        beat(&root.join(format!("hill/{n:02}.wav")), n, n + 20);
    }
    for (signal, status) in [("-INT", 130), ("-TERM", 143)] {
        let length = || std::fs::metadata(out.join("results.jsonl")).map_or(0, |m| m.len());
        let before = length();
        let run = batch(&root, &out).stderr(Stdio::piped()).spawn().unwrap();
        let pid = run.id().to_string();
        let mut waited = 0;
        while length() <= before {
            std::thread::sleep(Duration::from_millis(20));
            waited += 1;
            assert!(waited < 1_500, "it never began");
        }
        assert!(
            Command::new("kill")
                .args([signal, &pid])
                .status()
                .unwrap()
                .success()
        );
        let done = run.wait_with_output().unwrap();
        let errors = String::from_utf8(done.stderr).unwrap();
        assert_eq!(done.status.code(), Some(status), "{errors}");
        assert!(errors.contains("goes on from there"), "{errors}");
        let text = std::fs::read_to_string(out.join("results.jsonl")).unwrap();
        assert!(text.ends_with('\n'));
        assert_eq!(names(&out), ["results.jsonl", "seen.jsonl"]);
    }
}
