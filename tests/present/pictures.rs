//! The picture: well-formed, within its frame, the same every time.

use crate::fixtures;
use std::path::PathBuf;
use tailbeat::present::picture::{self, Format, Options, Theme};

/// Where the pictures of a test run are left for a look.
pub fn gallery() -> PathBuf {
    let dir = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("gallery");
    std::fs::create_dir_all(&dir).unwrap();
    dir
}

#[test]
fn every_picture_is_well_formed_and_stays_within_its_frame() {
    for (name, check) in fixtures::all() {
        for (format, suffix) in [(Format::Wide, "wide"), (Format::Narrow, "narrow")] {
            let svg = picture::svg(
                &check,
                Options {
                    format,
                    ..Options::default()
                },
            );
            std::fs::write(gallery().join(format!("{name}-{suffix}.svg")), &svg).unwrap();
            let doc = roxmltree::Document::parse(&svg).unwrap_or_else(|e| panic!("{name}: {e}"));
            let root = doc.root_element();
            let size = |key| root.attribute(key).unwrap().parse::<f64>().unwrap();
            let (width, height) = (size("width"), size("height"));
            for node in doc.descendants().filter(|n| n.is_element()) {
                for (key, limit) in [("x", width), ("y", height), ("cx", width), ("cy", height)] {
                    let Some(value) = node.attribute(key) else {
                        continue;
                    };
                    let value: f64 = value.parse().unwrap();
                    assert!((-0.1..=limit + 0.1).contains(&value), "{name}: {node:?}");
                }
            }
            assert!(svg.len() < 900_000, "{name}: {} bytes", svg.len());
        }
    }
}

#[test]
fn png_is_twice_the_nominal_size_in_both_themes() {
    let check = fixtures::desense();
    let svg = picture::svg(&check, Options::default());
    let doc = roxmltree::Document::parse(&svg).unwrap();
    let height: f64 = doc
        .root_element()
        .attribute("height")
        .unwrap()
        .parse()
        .unwrap();
    for (theme, name) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        let png = picture::png(&check, theme).unwrap();
        std::fs::write(gallery().join(format!("desense-{name}.png")), &png).unwrap();
        assert_eq!(&png[..8], b"\x89PNG\r\n\x1a\n");
        let number = |at: usize| u32::from_be_bytes(png[at..at + 4].try_into().unwrap());
        assert_eq!(number(16), 1800);
        assert_eq!(number(20), (height * 2.0).ceil() as u32);
        assert_eq!(
            png,
            picture::png(&check, theme).unwrap(),
            "not the same twice"
        );
    }
}

#[test]
fn two_drops_are_written_down() {
    insta::assert_snapshot!(picture::svg(&fixtures::two_drops(), Options::default()));
}

#[test]
fn shapes_tell_what_colours_tell() {
    let svg = picture::svg(&fixtures::desense(), Options::default());
    let doc = roxmltree::Document::parse(&svg).unwrap();
    let patterned = doc
        .descendants()
        .filter(|n| {
            n.attribute("fill")
                .is_some_and(|f| f.starts_with("url(#w-blip"))
        })
        .count();
    assert!(patterned >= 34, "each user's part is hatched: {patterned}");
    assert!(
        svg.contains("carrier comes up") && svg.contains("carrier drops"),
        "legend"
    );
}

#[test]
fn equal_cycles_give_equal_bars_and_fading_does_not() {
    let heights = |check: &tailbeat::Check| {
        let svg = picture::svg(check, Options::default());
        let doc = roxmltree::Document::parse(&svg).unwrap();
        let bars: Vec<f64> = doc
            .descendants()
            .filter(|n| n.attribute("class") == Some("tb-moment"))
            .map(|bar| {
                bar.children()
                    .filter(|n| n.has_tag_name("rect"))
                    .filter_map(|n| n.attribute("height")?.parse::<f64>().ok())
                    .sum()
            })
            .collect();
        let tallest = bars.iter().copied().fold(f64::MIN, f64::max);
        let shortest = bars.iter().copied().fold(f64::MAX, f64::min);
        (bars.len(), shortest / tallest)
    };
    let (count, evenness) = heights(&fixtures::desense());
    assert_eq!(count, 34);
    assert!(evenness > 0.85, "{evenness}");
    let (_, evenness) = heights(&fixtures::fading());
    assert!(evenness < 0.5, "{evenness}");
}

#[test]
fn a_day_and_four_hundred_drops_keep_their_bars_few() {
    for check in [fixtures::day(), fixtures::many_drops()] {
        let svg = picture::svg(&check, Options::default());
        let bars = svg.matches("class=\"tb-moment\"").count();
        assert!((100..=420).contains(&bars), "{bars}");
        assert!(svg.contains("A closer look"));
    }
    let day = picture::svg(&fixtures::day(), Options::default());
    assert!(
        day.contains("only the stretch from 14:"),
        "zoomed to the episode"
    );
}

#[test]
fn what_is_not_known_is_drawn_as_not_known() {
    let svg = |check| picture::svg(&check, Options::default());
    assert!(svg(fixtures::nothing_found()).contains("no carrier was heard"));
    assert!(svg(fixtures::not_fm()).contains("nothing of an FM receiver"));
    let bursts = svg(fixtures::bursts_only());
    assert!(bursts.contains("its edges are not audible"));
    assert!(
        !bursts.contains("class=\"tb-tail\""),
        "no tail where none was told apart"
    );
    let cut = svg(fixtures::no_gaps());
    assert!(cut.contains("class=\"tb-cut\""));
    assert!(!cut.contains("class=\"tb-gap\"") && !cut.contains("class=\"tb-band\""));
}
