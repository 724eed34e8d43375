//! The picture: well-formed, within its frame, the same every time.

use crate::fixtures;
use std::path::PathBuf;
use tailbeat::present::picture::{self, Format, Options, Theme};

/// Where the pictures of a test run are left for a look.
fn gallery() -> PathBuf {
    let dir = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("gallery");
    std::fs::create_dir_all(&dir).unwrap();
    dir
}

#[test]
fn every_picture_is_well_formed_and_stays_within_its_frame() {
    for (name, check) in fixtures::all() {
        for (format, suffix) in [(Format::Wide, "wide"), (Format::Narrow, "narrow")] {
            let svg = picture::svg(&check, Options { format, ..Options::default() });
            std::fs::write(gallery().join(format!("{name}-{suffix}.svg")), &svg).unwrap();
            let doc = roxmltree::Document::parse(&svg).unwrap_or_else(|e| panic!("{name}: {e}"));
            let root = doc.root_element();
            let size = |key| root.attribute(key).unwrap().parse::<f64>().unwrap();
            let (width, height) = (size("width"), size("height"));
            for node in doc.descendants().filter(|n| n.is_element()) {
                for (key, limit) in [("x", width), ("y", height), ("cx", width), ("cy", height)] {
                    let Some(value) = node.attribute(key) else { continue };
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
    let height: f64 = doc.root_element().attribute("height").unwrap().parse().unwrap();
    for (theme, name) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        let png = picture::png(&check, theme).unwrap();
        std::fs::write(gallery().join(format!("desense-{name}.png")), &png).unwrap();
        assert_eq!(&png[..8], b"\x89PNG\r\n\x1a\n");
        let number = |at: usize| u32::from_be_bytes(png[at..at + 4].try_into().unwrap());
        assert_eq!(number(16), 1800);
        assert_eq!(number(20), (height * 2.0).ceil() as u32);
        assert_eq!(png, picture::png(&check, theme).unwrap(), "not the same twice");
    }
}
