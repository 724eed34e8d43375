//! `tailbeat prove` as a program.

use assert_cmd::Command;
use std::path::{Path, PathBuf};

fn prove(arguments: &[&str]) -> Command {
    let mut command = Command::cargo_bin("tailbeat").unwrap();
    command
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .arg("prove")
        .args(arguments);
    command
}

fn fresh_folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    folder
}

fn words(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[test]
fn names_are_listed_and_chosen_by_tier_and_family() {
    let output = prove(&["--list", "--tier", "phone", "--family", "cycling-strong"]).output();
    let text = String::from_utf8(output.unwrap().stdout).unwrap();
    let names: Vec<&str> = text.lines().collect();
    assert_eq!(names.len(), 6, "{text}");
    assert!(
        names
            .iter()
            .all(|name| name.starts_with("cycling-strong@phone-")),
        "{text}"
    );
}

#[test]
fn one_recording_is_made_with_its_labels_and_made_alike_again() {
    let folder = fresh_folder("render");
    let cache = folder.join("cache");
    let read = |out: &str| {
        let out = folder.join(out);
        let name = "cycling-brief@line-logger:0";
        prove(&[
            "--render",
            name,
            "-o",
            words(&out),
            "--cache",
            words(&cache),
        ])
        .assert()
        .success();
        let files = std::fs::read_dir(&out)
            .unwrap()
            .map(|entry| entry.unwrap().path());
        let mut files: Vec<PathBuf> = files.collect();
        files.sort();
        files
            .iter()
            .map(|file| std::fs::read(file).unwrap())
            .collect::<Vec<_>>()
    };
    let first = read("one");
    assert_eq!(first.len(), 2);
    std::fs::remove_dir_all(&cache).unwrap();
    assert_eq!(first, read("two"));
}

#[test]
fn the_page_is_the_same_twice_and_only_written_where_asked() {
    let folder = fresh_folder("page");
    let cache = folder.join("cache");
    let run = |reports: &str, jobs: &str| {
        let reports = folder.join(reports);
        let lines = folder.join("lines.jsonl");
        prove(&[
            "--family",
            "cycling-brief@line",
            "--limit",
            "2",
            "--jobs",
            jobs,
        ])
        .args(["--cache", words(&cache), "--reports", words(&reports)])
        .args(["--dump-jsonl", words(&lines)])
        .assert()
        .success();
        assert_eq!(std::fs::read_to_string(&lines).unwrap().lines().count(), 2);
        ["accuracy.md", "accuracy.json"].map(|name| std::fs::read(reports.join(name)).unwrap())
    };
    assert_eq!(run("one", "1"), run("two", "2"));
}

#[test]
fn an_ordinary_day_is_watched_for_as_long_as_is_asked_and_alike_again() {
    let folder = fresh_folder("ordinary");
    let run = |name: &str| {
        let (page, cache) = (folder.join(name), folder.join("cache"));
        std::fs::create_dir_all(&folder).unwrap();
        prove(&["--part", "fit", "--family", "talk-two@line-program"])
            .args(["--limit", "1", "--ordinary-hours", "0.3"])
            .args(["--watch", words(&page), "--cache", words(&cache)])
            .assert()
            .success();
        std::fs::read_to_string(page).unwrap()
    };
    let page = run("one.md");
    let (_, day) = page.split_once("## An ordinary repeater's days").unwrap();
    let row = day.lines().find(|line| line.starts_with("| 0.")).unwrap();
    let cells: Vec<&str> = row.split('|').map(str::trim).collect();
    let number = |n: usize| cells[n].parse::<f64>().unwrap();
    let (hours, talk, conversations) = (number(1), number(2), number(3));
    assert!(
        hours >= 0.3 && talk < hours && conversations >= 1.0,
        "{row}"
    );
    assert!(
        day.contains("Each false alarm:") && cells[5].contains("0"),
        "{day}"
    );
    assert_eq!(page, run("two.md"));
}

#[test]
fn wrong_names_are_wrong_usage_and_say_so() {
    for (arguments, expected) in [
        (
            vec!["--refit"],
            "nothing is ever fitted on the held-out part",
        ),
        (
            vec!["--part", "quick", "--leave-out"],
            "nothing is ever fitted",
        ),
        (vec!["--render", "nothing", "-o", "x"], "SCENE@CHAIN:NUMBER"),
        (
            vec!["--render", "nothing@line-logger:0", "-o", "x"],
            "there is no scene `nothing`",
        ),
        (
            vec!["--list", "--family", "no-such-family"],
            "no recording of the corpus is left",
        ),
        (
            vec!["--list", "--corpus", "src"],
            "give the folder of a whole corpus",
        ),
        (vec!["--ordinary-hours", "3"], "--watch"),
    ] {
        let cache = fresh_folder("unused");
        let output = prove(&arguments)
            .args(["--cache", words(&cache)])
            .output()
            .unwrap();
        let text = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{text}");
        assert!(text.contains(expected), "{text}");
        assert!(output.stdout.is_empty());
    }
}

#[test]
fn what_is_held_out_is_never_fitted_on_and_the_remedy_is_said() {
    for (arguments, remedy) in [
        (&["--refit"][..], "add --part spared"),
        (&["--leave-out", "--part", "fit"], "add --part spared"),
        (&["--frames", "away"], "add --part fit"),
        (&["--times", "2"], "add --frames, --refit or --leave-out"),
        (&["--folds", "away"], "add --refit or --leave-out"),
    ] {
        let output = prove(arguments).output().unwrap();
        let text = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {text}");
        assert!(text.contains(remedy), "{arguments:?}: {text}");
    }
}

#[test]
fn a_folds_network_that_is_away_is_named() {
    let folder = fresh_folder("no-folds");
    let arguments = ["--part", "spared", "--leave-out", "--folds", words(&folder)];
    let output = prove(&arguments).output().unwrap();
    let text = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{text}");
    assert!(text.contains(words(&folder.join("0.tbn"))), "{text}");
}

#[test]
fn a_folds_network_that_hears_frames_otherwise_is_named() {
    let folder = fresh_folder("other-folds");
    std::fs::create_dir_all(&folder).unwrap();
    let mut bytes = std::fs::read("src/tuning/network.tbn").unwrap();
    let path = folder.join("0.tbn");
    // The last weight is of the whole: folds differ in these.
    let last = bytes.len() - 1;
    bytes[last] ^= 1;
    std::fs::write(&path, &bytes).unwrap();
    std::fs::write(folder.join("1.tbn"), "no network").unwrap();
    let arguments = ["--part", "spared", "--leave-out", "--folds", words(&folder)];
    let told = || {
        let output = prove(&arguments).output().unwrap();
        assert_eq!(output.status.code(), Some(2));
        String::from_utf8(output.stderr).unwrap()
    };
    let text = told();
    assert!(text.contains(words(&folder.join("1.tbn"))), "{text}");
    // The first is one of those that frames are heard by.
    let first = bytes.windows(2).position(|two| two == b"\n\n").unwrap() + 2;
    bytes[first] ^= 1;
    std::fs::write(&path, &bytes).unwrap();
    let text = told();
    assert!(
        text.contains(words(&path)) && text.contains("--fold 0"),
        "{text}"
    );
}
