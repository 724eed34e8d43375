//! `backoff`, `cost`, `tee`, `sinad`, `hunt` from outside: good runs, JSON against its schema, the
//! files of `--out`, and bad input answered with line and remedy.

use crate::check::tailbeat;
use crate::sounds::folder;
use serde_json::Value;
use std::path::{Path, PathBuf};

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("corpus/examples")
        .join(name)
}

/// One object that keeps to its schema, and nothing else.
fn json(args: &[&str], schema: &str) -> Value {
    let run = tailbeat().args(args).arg("--json").output().unwrap();
    assert!(
        run.status.success(),
        "{args:?}: {}",
        String::from_utf8_lossy(&run.stderr)
    );
    let text = String::from_utf8(run.stdout).unwrap();
    assert_eq!(text.lines().count(), 1, "{text}");
    let value: Value = serde_json::from_str(&text).unwrap();
    let published: Value =
        serde_json::from_str(&tailbeat::present::json::schema(schema).unwrap()).unwrap();
    assert!(
        jsonschema::is_valid(&published, &value),
        "{schema}: {value}"
    );
    value
}

/// The files that `--out` leaves.
fn left(args: &[&str]) -> Vec<String> {
    let dir = folder();
    let out = dir.path().join("made");
    let run = tailbeat()
        .args(args)
        .arg("--out")
        .arg(&out)
        .output()
        .unwrap();
    assert!(
        run.status.success(),
        "{args:?}: {}",
        String::from_utf8_lossy(&run.stderr)
    );
    let mut names: Vec<String> = std::fs::read_dir(&out)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    for name in &names {
        let bytes = std::fs::read(out.join(name)).unwrap();
        match name.rsplit('.').next().unwrap() {
            "svg" => {
                drop(roxmltree::Document::parse(std::str::from_utf8(&bytes).unwrap()).unwrap())
            }
            "png" => assert!(bytes.starts_with(b"\x89PNG")),
            "json" => assert!(serde_json::from_slice::<Value>(&bytes).unwrap().is_object()),
            "html" => assert!(bytes.starts_with(b"<!DOCTYPE html>")),
            other => panic!("what is a {other}?"),
        }
    }
    names
}

/// Refused: status, and the one line on standard error.
fn refused(args: &[&str], status: i32) -> String {
    let run = tailbeat().args(args).output().unwrap();
    let said = String::from_utf8(run.stderr).unwrap();
    assert_eq!(run.status.code(), Some(status), "{args:?}: {said}");
    assert!(run.stdout.is_empty(), "{args:?}");
    assert_eq!(said.lines().count(), 1, "{args:?}: {said}");
    assert!(said.contains("; "), "no remedy: {said}");
    said
}

/// A file with this text, in a folder that stays until the end of the test.
fn written(name: &str, text: &str) -> (tempfile::TempDir, String) {
    let dir = folder();
    let path = dir.path().join(name);
    std::fs::write(&path, text).unwrap();
    let path = path.to_str().unwrap().to_owned();
    (dir, path)
}

#[test]
fn good_runs_keep_to_their_schemas() {
    let file = |name: &str| example(name).to_str().unwrap().to_owned();
    let value = json(
        &[
            "backoff",
            "--trials",
            &file("trials.csv"),
            "--hysteresis",
            "2",
            "--erp",
            "50",
        ],
        "backoff",
    );
    assert_eq!(value["desense"]["at_least_db"], 8.0);
    assert_eq!(value["desense"]["less_than_db"], 10.0);
    // 10 dB is 50 W against 500 W (common practice, no source).
    let value = json(&["cost", "10", "--erp", "50"], "cost");
    assert_eq!(value["erp_needed_w"], 500.0);
    let value = json(&["tee", &file("tee.toml")], "tee");
    assert_eq!(value["contradiction"], false);
    let value = json(&["hunt", &file("site.toml")], "hunt");
    assert_eq!(value["standing"], "test_next");
    assert_eq!(value["expected"]["cost_to_the_end"], Value::Null);
    let value = json(&["hunt", &file("site-intermittent.toml")], "hunt");
    assert!(value["expected"]["cost_to_the_end"].as_f64().unwrap() > 0.0);
}

#[test]
fn out_leaves_page_json_and_pictures() {
    let file = |name: &str| example(name).to_str().unwrap().to_owned();
    assert_eq!(
        left(&["backoff", "--trials", &file("trials.csv")]),
        ["backoff.html", "backoff.json", "steps.png", "steps.svg"]
    );
    assert_eq!(left(&["cost", "6"]), ["cost.html", "cost.json"]);
    assert_eq!(
        left(&["tee", &file("tee.toml")]),
        ["noise.png", "noise.svg", "tee.html", "tee.json"]
    );
    assert_eq!(
        left(&["hunt", &file("site.toml")]),
        [
            "belief.png",
            "belief.svg",
            "hunt.html",
            "hunt.json",
            "plan.png",
            "plan.svg"
        ]
    );
}

/// A tone of 1 kHz under noise, so many dB apart in the whole band of 4 kHz.
fn tone(path: &Path) {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: 16_000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(path, spec).unwrap();
    let mut state = 0x2545_f491_u32;
    for n in 0..16_000 * 6 {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        let noise = f64::from(state) / f64::from(u32::MAX) - 0.5;
        let tone = (std::f64::consts::TAU * 1000.0 * f64::from(n) / 16_000.0).sin();
        writer
            .write_sample(((0.3 * tone + 0.1 * noise) * 32_767.0) as i16)
            .unwrap();
    }
    writer.finalize().unwrap();
}

#[test]
fn sinad_of_a_made_up_tone() {
    let dir = folder();
    let path = dir.path().join("tone.wav");
    tone(&path);
    let value = json(&["sinad", path.to_str().unwrap()], "sinad");
    // Tone 0.045; noise 0.01/12 over 8 kHz, of which 300 to 3000 Hz hold 0.3375: 22.1 dB; the
    // sum of both over the noise is a hair more (derived here).
    let sinad = value["sinad_db"].as_f64().unwrap();
    assert!((sinad - 22.1).abs() < 0.5, "{value}");
    assert!(left(&["sinad", path.to_str().unwrap()]).contains(&"sinad.html".to_owned()));
    let (_dir, words) = written("words.wav", &"these are words\n".repeat(200));
    assert!(refused(&["sinad", &words], 1).contains("words.wav"));
}

#[test]
fn bad_tables_name_line_and_remedy() {
    let cases: [(&str, &str, &[&str], &str, &str); 7] = [
        (
            "steps.csv",
            "start_s,backoff_db\n0,-6\n12,2\n9,4\n",
            &["backoff", "-", "--steps"],
            " line 4",
            "order",
        ),
        (
            "steps.csv",
            "start_s,level\n0,2\n",
            &["backoff", "-", "--steps"],
            " line 1",
            "backoff_db",
        ),
        (
            "steps.csv",
            "start_s,backoff_db\n0,two\n",
            &["backoff", "-", "--steps"],
            " line 2",
            "two",
        ),
        (
            "trials.csv",
            "backoff_db,came_back\n2,yes\n4,perhaps\n",
            &["backoff", "--trials"],
            " line 3",
            "perhaps",
        ),
        (
            "trials.csv",
            "backoff_db,trials,came_back\n2,3,5\n",
            &["backoff", "--trials"],
            " line 2",
            "5",
        ),
        (
            "tee.csv",
            "state,level,unit\nload_off,-119,dBm\nantenna_off,0.9,furlongs\n",
            &["tee"],
            " line 3",
            "furlongs",
        ),
        (
            "tee.csv",
            "state,unit\nload_off,dBm\n",
            &["tee"],
            " line 1",
            "level",
        ),
    ];
    for (name, text, args, line, word) in cases {
        let (_dir, path) = written(name, text);
        let mut words = args.to_vec();
        words.push(&path);
        let said = refused(&words, 2);
        assert!(said.contains(&format!("{name}{line}")), "{text}: {said}");
        assert!(said.contains(word), "{text}: {said}");
    }
}

#[test]
fn bad_sites_name_line_and_remedy() {
    let section = |name: &str, more: &str| {
        format!("[[transmit]]\nname = \"{name}\"\nkind = \"jumper\"\n{more}\n")
    };
    let price = section("a", "minutes = -5") + &section("b", "");
    let turned = section("a", "after = \"b\"") + &section("b", "after = \"a\"");
    let unit = section("a", "minutes = \"ten\"") + &section("b", "");
    let kind = section("a", "").replace("jumper", "flux") + &section("b", "");
    let nobody = section("a", "")
        + &section("b", "")
        + "[[result]]\nload_after = \"c\"\ndesense = \"gone\"\n";
    for (text, line, words) in [
        (price, " line 4", &["-5", "negative"][..]),
        (turned, " line 4", &["circle"]),
        (unit, " line 4", &["ten"]),
        (kind, " line 3", &["flux"]),
        (nobody, " line 10", &["\"c\""]),
    ] {
        let (_dir, path) = written("site.toml", &text);
        let said = refused(&["hunt", &path], 2);
        assert!(said.contains(&format!("site.toml{line}")), "{text}: {said}");
        assert!(words.iter().any(|w| said.contains(w)), "{text}: {said}");
    }
    let file = example("site.toml");
    let said = refused(&["hunt", file.to_str().unwrap(), "--gone", "chimney"], 2);
    assert!(
        said.contains("--gone") && said.contains("chimney"),
        "{said}"
    );
}

#[test]
fn bad_numbers_are_wrong_usage() {
    let trials = example("trials.csv");
    let trials = trials.to_str().unwrap();
    for (args, word) in [
        (&["cost", "-3"][..], "-3 dB"),
        (&["cost", "10", "--erp", "-5"], "above 0 W"),
        (&["cost", "10", "--exponent", "-2"], "-2"),
        (
            &["backoff", "--trials", trials, "--hysteresis", "50"],
            "50 dB",
        ),
        (
            &["backoff", "--trials", trials, "--hysteresis", "-2"],
            "-2 dB",
        ),
    ] {
        let said = refused(args, 2);
        assert!(said.contains(word), "{args:?}: {said}");
    }
    let run = tailbeat().args(["tee", "nowhere.toml"]).output().unwrap();
    assert_eq!(run.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&run.stderr).contains("nowhere.toml"));
}

/// 7 dB of desense and 2 dB of hysteresis: it comes back at 2 and 4 dB, no longer at 6 and 8. A
/// strong second signal marks each step; before the last one the level is raised, so that the
/// repeater is up and passes the mark from its beginning.
fn marked(dir: &Path, mark: &str) -> String {
    let scene = format!(
        "name = 'marks'\ncause = 'self_desense'\nduration_s = 56\n\
         [repeater]\nhang_s = 2\ndesense.db = 7\nsquelch.hysteresis_db = 2\n\
         [listener]\nsquelch = 'open'\n\
         [[user]]\nmodulation = 'silence'\nhold = [[1, 56]]\n\
         backoff = [[0, -6], [6, 2], [20, 4], [34, 6], [43, -6], [48, 8]]\n\
         [[user]]\nname = 'marks'\n{mark}\nmargin_db = 25\n\
         hold = [[5, 6.2], [19, 20.2], [33, 34.2], [47, 48.2]]\n"
    );
    let (file, sound) = (dir.join("marks.toml"), dir.join("marks.wav"));
    std::fs::write(&file, scene).unwrap();
    tailbeat()
        .arg("simulate")
        .arg(&file)
        .arg("-o")
        .arg(&sound)
        .assert()
        .success();
    sound.to_str().unwrap().to_owned()
}

#[test]
fn steps_marked_in_the_recording_are_heard() {
    for (mark, flags) in [
        (
            "modulation = 'dtmf'\ndigits = '1'",
            &["--marks", "digits"][..],
        ),
        (
            "modulation = 'tone'\ntone_hz = 1750",
            &["--marks", "tone", "--mark-tone", "1750"],
        ),
    ] {
        let dir = folder();
        let sound = marked(dir.path(), mark);
        let mut args = vec!["backoff", &sound, "--first", "2", "--step", "2"];
        args.extend(flags);
        let value = json(&args, "backoff");
        let levels: Vec<f64> = (value["levels"].as_array().unwrap().iter())
            .map(|l| l["backoff_db"].as_f64().unwrap())
            .collect();
        assert_eq!(levels, [2.0, 4.0, 6.0, 8.0], "{mark}: {value}");
        assert_eq!(value["desense"]["at_least_db"], 4.0, "{mark}: {value}");
        assert_eq!(value["desense"]["less_than_db"], 6.0, "{mark}: {value}");
        assert_eq!(value["in_order"], true, "{mark}");
    }
    // Marks of another kind than those asked for: the complaint names the recording.
    let dir = folder();
    let sound = marked(dir.path(), "modulation = 'tone'\ntone_hz = 1750");
    assert!(refused(&["backoff", &sound, "--marks", "digits"], 1).contains("marks.wav"));
}
