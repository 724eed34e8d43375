//! `tailbeat simulate`: sound and labels, the same bytes for the same seed, clips, refusals.

use crate::check::tailbeat;
use crate::sounds::folder;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use tailbeat::simulate::Truth;
use tailbeat::simulate::truth::TrueEventKind;

/// A short scene that cycles: seed and voice are all that is left to chance.
const CYCLING: &str = "name = \"short\"\ncause = \"self_desense\"\nduration_s = 6\n[repeater]\nhang_s = 0.8\ndesense.db = 6\n[[user]]\nhold = [[0.5, 6]]\nin_window = 0.5\n";

fn scene(dir: &Path, text: &str) -> PathBuf {
    let path = dir.join("scene.toml");
    std::fs::write(&path, text).unwrap();
    path
}

fn truth(path: &Path) -> Truth {
    serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap()
}

/// Plays a scene; returns the files that the command says it wrote.
fn play(dir: &Path, scene: &Path, out: &str, more: &[&str]) -> Vec<PathBuf> {
    let run = tailbeat()
        .arg("simulate")
        .arg(scene)
        .arg("-o")
        .arg(dir.join(out))
        .args(more)
        .assert()
        .success();
    let said = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    said.lines().map(PathBuf::from).collect()
}

#[test]
fn sound_and_labels_belong_together_and_repeat() {
    let dir = folder();
    let scene = scene(dir.path(), CYCLING);
    let files = play(dir.path(), &scene, "a.wav", &["--seed", "3"]);
    assert_eq!(
        files,
        [dir.path().join("a.wav"), dir.path().join("a.truth.json")]
    );
    let labels = dir.path().join("told.json");
    let named = ["--seed", "3", "--labels", labels.to_str().unwrap()];
    play(dir.path(), &scene, "b.wav", &named);
    play(dir.path(), &scene, "c.wav", &["--seed", "4"]);
    let bytes = |name: &str| std::fs::read(dir.path().join(name)).unwrap();
    assert!(bytes("a.wav") == bytes("b.wav"), "same seed, same sound");
    assert!(bytes("a.truth.json") == bytes("told.json"));
    assert!(bytes("a.wav") != bytes("c.wav"), "another seed");

    let truth = truth(&files[1]);
    let reader = hound::WavReader::open(&files[0]).unwrap();
    assert_eq!(
        (reader.spec().sample_rate, reader.spec().channels),
        (16_000, 1)
    );
    assert_eq!(reader.duration(), 6 * 16_000);
    assert_eq!(truth.duration_s, 6.0);
    assert_eq!(truth.cause.as_str(), "self_desense");
    assert!(truth.came_back() >= 3, "it cycles: {:?}", truth.drops);
    let samples: Vec<f64> = (reader.into_samples::<i16>())
        .map(|x| f64::from(x.unwrap()) / 32_768.0)
        .collect();
    // The set's squelch tail follows each drop, then mute.
    for drop in truth.heard(TrueEventKind::CarrierDrop) {
        let rms = |from_s: f64, to_s: f64| {
            let part = &samples[(from_s * 16e3) as usize..(to_s * 16e3) as usize];
            (part.iter().map(|x| x * x).sum::<f64>() / part.len() as f64).sqrt()
        };
        let (tail, before) = (
            rms(drop.t_s + 0.006, drop.t_s + 0.03),
            rms(drop.t_s - 0.03, drop.t_s - 0.004),
        );
        assert!(tail > 8.0 * before, "{} s: {before} then {tail}", drop.t_s);
    }
}

#[test]
fn a_voice_activated_recorder_writes_clips_named_by_their_start() {
    let dir = folder();
    let text = format!(
        "{CYCLING}[recorder]\nvoice_activated = {{ hold_s = 0.02, by_squelch = true, keep = \"clips\" }}\n"
    );
    let files = play(dir.path(), &scene(dir.path(), &text), "log.wav", &[]);
    let clips: Vec<&PathBuf> = (files.iter())
        .filter(|f| f.file_name().unwrap().to_str().unwrap().contains("_2001-"))
        .collect();
    assert!(clips.len() >= 3, "{files:?}");
    assert_eq!(clips.iter().collect::<BTreeSet<_>>().len(), clips.len());
    assert!(
        clips.iter().all(|c| c
            .file_stem()
            .unwrap()
            .to_str()
            .unwrap()
            .starts_with("log_2001-02-03_00-00-0")),
        "{clips:?}"
    );
    let length = |path: &Path| hound::WavReader::open(path).unwrap().duration();
    let together: u32 = clips.iter().map(|clip| length(clip)).sum();
    assert_eq!(together, length(&files[0]), "the clips are the whole");
    // Put together by their names' times, whole seconds, there are gaps again.
    let by_names = truth(&dir.path().join("log.clips.truth.json"));
    assert!(by_names.drops.iter().any(|drop| drop.gap_s.is_some()));
    assert!(truth(&files[1]).drops.iter().all(|d| d.gap_s.is_none()));
}

#[test]
fn users_may_send_a_sound_file() {
    let dir = folder();
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: 22_050,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(dir.path().join("tone.wav"), spec).unwrap();
    for n in 0..22_050 {
        let x = (std::f64::consts::TAU * 700.0 * f64::from(n) / 22_050.0).sin();
        writer.write_sample((20_000.0 * x) as i16).unwrap();
        writer.write_sample((20_000.0 * x) as i16).unwrap();
    }
    writer.finalize().unwrap();
    let text = "name = \"file\"\ncause = \"ordinary_traffic\"\nduration_s = 3\n[[user]]\nhold = [[0.2, 2.8]]\nmodulation = \"file\"\nfile = \"tone.wav\"\n";
    let files = play(dir.path(), &scene(dir.path(), text), "out.wav", &[]);
    let heard: Vec<f64> = (hound::WavReader::open(&files[0]).unwrap())
        .into_samples::<i16>()
        .map(|x| f64::from(x.unwrap()))
        .skip(16_000)
        .take(16_000)
        .collect();
    let strength = |hz: f64| {
        let (mut s, mut c) = (0.0, 0.0);
        for (n, x) in heard.iter().enumerate() {
            let (sin, cos) = (std::f64::consts::TAU * hz * n as f64 / 16e3).sin_cos();
            s += x * sin;
            c += x * cos;
        }
        s.hypot(c)
    };
    assert!(
        strength(700.0) > 30.0 * strength(900.0),
        "the tone is what is heard"
    );
}

#[test]
fn refusals_name_file_line_and_remedy() {
    let dir = folder();
    let refused = |text: &str, status: i32| {
        let run = tailbeat()
            .arg("simulate")
            .arg(scene(dir.path(), text))
            .arg("-o")
            .arg(dir.path().join("never.wav"))
            .assert()
            .code(status);
        let said = String::from_utf8(run.get_output().stderr.clone()).unwrap();
        assert_eq!(said.lines().count(), 1, "{said}");
        assert!(run.get_output().stdout.is_empty());
        assert!(!dir.path().join("never.wav").exists());
        said
    };
    let wrong_key = refused(&CYCLING.replace("hang_s", "hangs"), 2);
    assert!(
        wrong_key.contains("scene.toml: line 5") && wrong_key.contains("hangs"),
        "{wrong_key}"
    );
    let wild = refused(&CYCLING.replace("db = 6", "db = 600"), 2);
    assert!(
        wild.contains("repeater.desense.db") && wild.contains("from 0 to 60"),
        "{wild}"
    );
    let no_sound = CYCLING.replace(
        "in_window",
        "modulation = \"file\"\nfile = \"gone.wav\"\nin_window",
    );
    let gone = refused(&no_sound, 1);
    assert!(gone.contains("gone.wav"), "{gone}");
    tailbeat()
        .args(["simulate", "no-such-scene.toml", "-o", "x.wav"])
        .assert()
        .code(1);
    tailbeat().args(["simulate", "x.toml"]).assert().code(2);
}

#[test]
fn the_teaching_scenes_draw_and_say_what_to_listen_for() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus/scenarios/teaching");
    let mut names = BTreeSet::new();
    for entry in std::fs::read_dir(root).unwrap() {
        let path = entry.unwrap().path();
        let text = std::fs::read_to_string(&path).unwrap();
        let name = path.file_stem().unwrap().to_str().unwrap().to_string();
        let scene = tailbeat::simulate::Scenario::from_toml(&text, &name).unwrap();
        assert_eq!(scene.name, name);
        assert!(!scene.about.is_empty() && text.starts_with("# "), "{name}");
        names.insert(name);
    }
    assert!(names.len() >= 10, "{names:?}");
    assert!(names.contains("six-db-three-seconds"), "the help names it");
}
