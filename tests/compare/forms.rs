//! Text, page, picture and JSON.

use crate::exhibits::{compared, digest, heard, recording, test};
use serde_json::Value;
use std::path::Path;
use tailbeat::compare::{Comparison, Heard, Stated, compare};
use tailbeat::present::compare::beats::{View, svg};
use tailbeat::present::compare::{CompareJson, differences, dossier, leaf};
use tailbeat::present::picture::sheet::Format;
use tailbeat::present::picture::{Theme, raster};
use tailbeat::present::site::json::line;
use tailbeat::present::text::Style;
use tailbeat::timeline::types::ListeningMode;
use tailbeat::units::Decibels;

fn all() -> Vec<(&'static str, Comparison)> {
    vec![
        ("gone", compared((31, 34), (0, 18))),
        ("fewer", compared((10, 13), (2, 17))),
        ("too-few", compared((5, 6), (0, 2))),
        ("still-there", compared((8, 10), (8, 10))),
        ("more", compared((2, 17), (10, 13))),
        ("never-did", compared((0, 12), (0, 30))),
        ("no-trials", compared((0, 0), (0, 0))),
        ("crowded", crowded()),
    ]
}

/// As much as can come together: long names, every kind of row, doubts beyond counting.
fn crowded() -> Comparison {
    let long =
        |set: &str, n: usize| format!("a-recording-with-a-long-name-{set}-the-repair-{n}.wav");
    let set = |word: &'static str, change: fn(&mut Heard)| {
        (0..9).map(move |n| {
            let mut heard = heard(&long(word, n), if n % 2 == 0 { 11 } else { 2 }, 12);
            heard.started_at = Some("2031-05-04T18:30:00+02:00".into());
            heard.drops[3].came_back = None;
            change(&mut heard);
            recording(heard)
        })
    };
    let mut before: Vec<_> = set("before", |_| {}).collect();
    let mut after: Vec<_> = set("after", |h| {
        h.mode = ListeningMode::Squelched;
        h.recorder.codec = "aac".into();
        for drop in &mut h.drops {
            drop.quieting = Some(Decibels(24.0));
            drop.came_back = drop.came_back.map(|b| b && drop.drop.get() < 12.0);
        }
    })
    .collect();
    before.push(test(
        "steps-before.json",
        &[(2.0, 3, 3), (4.0, 3, 1), (6.0, 3, 2), (8.0, 3, 0)],
    ));
    after.push(test(
        "steps-after.json",
        &[(1.0, 3, 3), (2.0, 3, 1), (3.0, 3, 0)],
    ));
    let stated = Stated {
        station: Some("QQ0TB, invented club's repeater on the east hill, 2 m band, 60 m up".into()),
        work: Some(
            "jumper 2 replaced, connectors cleaned and tightened, duplexer tuned, arrestor back"
                .into(),
        ),
    };
    compare(before, after, stated).unwrap()
}

fn json(of: &Comparison) -> Value {
    serde_json::from_str(&line(&CompareJson::from(of))).unwrap()
}

#[test]
fn every_result_keeps_to_the_schema() {
    let schema: Value =
        serde_json::from_str(&tailbeat::present::json::schema("compare").unwrap()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for (name, of) in all() {
        let mut value = json(&of);
        let faults: Vec<String> = validator
            .iter_errors(&value)
            .map(|e| e.to_string())
            .collect();
        assert!(faults.is_empty(), "{name}: {faults:?}");
        value["before"]["exhibits"][0]["sha256"] = "0".into();
        assert!(
            !validator.is_valid(&value),
            "{name}: a fingerprint is 64 digits"
        );
    }
}

#[test]
fn the_published_schemas_are_the_ones_in_the_source() {
    for name in ["compare", "verify"] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join(format!("src/present/schemas/tailbeat.{name}.1.json"));
        let kept = std::fs::read_to_string(&path).unwrap();
        assert_eq!(
            kept,
            tailbeat::present::json::schema(name).unwrap(),
            "{name}"
        );
    }
}

#[test]
fn json_is_written_down() {
    insta::assert_json_snapshot!(json(&compared((31, 34), (0, 18))));
}

#[test]
fn text_is_written_down() {
    let style = Style {
        width: 80,
        colour: false,
    };
    insta::assert_snapshot!(leaf(&compared((31, 34), (0, 18))).text(style));
    for (name, of) in all() {
        let text = leaf(&of).text(style);
        // A table is not broken into lines.
        let broken = text.lines().filter(|l| l.chars().count() > 80).count();
        assert!(broken <= 3, "{name}: {text}");
        assert!(text.starts_with("Before anybody goes to work\n"), "{name}");
    }
}

/// What the sheet must carry; that it is one sheet is looked at by tests/outside, which prints
/// the files written here.
#[test]
fn the_dossier_holds_evidence_and_cautions() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("dossiers");
    std::fs::create_dir_all(&folder).unwrap();
    for (name, of) in all() {
        let page = dossier::page(&of, &digest("result"));
        std::fs::write(folder.join(format!("{name}.html")), &page).unwrap();
        assert!(page.contains(&digest("result")), "{name}");
        for exhibit in of.before.iter().take(4) {
            assert!(page.contains(&exhibit.sha256), "{name}: {}", exhibit.file);
        }
        assert!(page.contains("Transmit only under a licence"), "{name}");
        assert!(
            !page.contains("src=\"http") && !page.contains("http-equiv"),
            "{name}"
        );
        assert!(
            page.contains("2 figure") || page.matches("<figure").count() == 2,
            "{name}"
        );
    }
}

#[test]
fn pictures_are_sound_and_share_one_scale() {
    for (name, of) in all() {
        for (format, id) in [(Format::Wide, "w"), (Format::Narrow, "n")] {
            let view = View {
                format,
                theme: Some(Theme::Light),
                id,
            };
            let drawn = svg(&of, view);
            assert!(!drawn.contains("NaN") && !drawn.contains("\"inf"), "{name}");
            roxmltree::Document::parse(&drawn).unwrap();
            assert!(raster::png(&drawn, 1.0).unwrap().starts_with(b"\x89PNG"));
        }
    }
    // A beat of 3.5 s against overs of 3.3 s: the axes carry the same labels.
    let drawn = svg(
        &compared((31, 34), (0, 18)),
        View {
            format: Format::Wide,
            theme: None,
            id: "w",
        },
    );
    assert_eq!(drawn.matches(">4 s</text>").count(), 2, "{drawn}");
}

#[test]
fn differences_are_found_wherever_they_are() {
    let of = json(&compared((31, 34), (0, 18)));
    assert!(differences(&of, &of.clone()).is_empty());
    for path in [
        "/before/came_back",
        "/share/finding",
        "/doubts/0/text",
        "/rate/conditional_p",
    ] {
        let mut other = of.clone();
        *other.pointer_mut(path).unwrap() = "spoilt".into();
        let found = differences(&of, &other);
        assert!(
            found.len() == 1 && found[0].starts_with(path),
            "{path}: {found:?}"
        );
    }
    let mut missing = of.clone();
    missing.as_object_mut().unwrap().remove("doubts");
    assert_eq!(differences(&of, &missing).len(), 1);
    let mut version = of.clone();
    version["program_version"] = "9.9.9".into();
    assert!(
        differences(&of, &version).is_empty(),
        "told apart from the result"
    );
}
