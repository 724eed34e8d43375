//! The few recordings that are committed, each with its scenario and its labels.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use tailbeat::intake;
use tailbeat::proving::encoding::Encoding;
use tailbeat::simulate::{Scenario, Truth, render};

/// Seed that `tailbeat prove --remake-recordings` uses.
const SEED: u64 = 1;

/// How far a file may be shorter or longer than its labels say: a codec's last packet.
const LENGTH_TOLERANCE_S: f64 = 0.15;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus/recordings")
}

/// Name and encoding of each.
fn listed() -> BTreeMap<String, Encoding> {
    let text = std::fs::read_to_string(folder().join("recordings.toml")).unwrap();
    let words: BTreeMap<String, String> = toml::from_str(&text).unwrap();
    words
        .into_iter()
        .map(|(name, word)| (name, Encoding::parse(&word, "recordings.toml").unwrap()))
        .collect()
}

fn truth_of(name: &str) -> Truth {
    let text = std::fs::read_to_string(folder().join(format!("{name}.truth.json"))).unwrap();
    serde_json::from_str(&text).unwrap()
}

fn audio_of(name: &str, encoding: Encoding) -> PathBuf {
    folder().join(format!("{name}.{}", encoding.kind.extension()))
}

#[test]
fn every_container_is_there_and_small() {
    let listed = listed();
    let endings: std::collections::BTreeSet<&str> = listed
        .values()
        .map(|encoding| encoding.kind.extension())
        .collect();
    assert_eq!(
        endings.into_iter().collect::<Vec<_>>(),
        ["flac", "m4a", "mp3", "ogg", "wav", "webm"]
    );
    for (name, encoding) in listed {
        let size = std::fs::metadata(audio_of(&name, encoding)).unwrap().len();
        assert!((10_000..300_000).contains(&size), "{name} has {size} bytes");
    }
}

#[test]
fn each_decodes_to_the_length_that_its_labels_say() {
    for (name, encoding) in listed() {
        let mut recording = intake::open(&audio_of(&name, encoding)).unwrap();
        let mut loudest = 0.0_f32;
        while let Some(block) = recording.next_block().unwrap() {
            loudest = block
                .samples
                .iter()
                .fold(loudest, |peak, x| peak.max(x.abs()));
        }
        let info = recording.finish().unwrap();
        let off_s = info.duration.get() - truth_of(&name).duration_s;
        assert!(
            off_s.abs() <= LENGTH_TOLERANCE_S,
            "{name} is {off_s} s too long"
        );
        assert!(loudest > 0.05, "{name} is nearly silent: {loudest}");
    }
}

/// The labels are made by the simulator from the scenario beside them; when the simulator changes,
/// the recordings have to be made again.
#[test]
fn labels_are_what_the_scenario_makes() {
    for name in listed().into_keys() {
        let file = format!("{name}.toml");
        let text = std::fs::read_to_string(folder().join(&file)).unwrap();
        let fresh = render(&Scenario::from_toml(&text, &file).unwrap(), SEED)
            .unwrap()
            .truth;
        let kept = truth_of(&name);
        let kinds = |truth: &Truth| truth.events.iter().map(|e| e.kind).collect::<Vec<_>>();
        assert_eq!(
            kinds(&kept),
            kinds(&fresh),
            "{name}: run tailbeat prove --remake-recordings"
        );
        for (old, new) in kept.events.iter().zip(&fresh.events) {
            assert!(
                (old.t_s - new.t_s).abs() < 1e-3,
                "{name}: {old:?} is now {new:?}"
            );
        }
        assert_eq!((kept.cause, kept.tier), (fresh.cause, fresh.tier), "{name}");
        assert!(!kept.drops.is_empty(), "{name} has no drop to hear");
    }
}
