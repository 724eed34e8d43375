//! Whatever numbers a result holds, every output is made, and is well-formed.

use crate::fixtures;
use proptest::prelude::*;
use tailbeat::Check;
use tailbeat::present::html::{Sound, render};
use tailbeat::present::picture::{self, Format, Options};
use tailbeat::present::tables::{csv, vtt};
use tailbeat::present::{json, text};
use tailbeat::units::{Decibels, Instant, Seconds};

/// Numbers as they come, and as they should not.
fn odd() -> impl Strategy<Value = f64> {
    prop_oneof![
        8 => 0.0..20.0f64,
        1 => -5.0..0.0f64,
        1 => 1e3..1e9f64,
        1 => Just(0.0),
        1 => Just(f64::NAN),
        1 => Just(f64::INFINITY),
    ]
}

/// One of the fixtures with some of its drops' and its verdict's numbers replaced.
fn spoilt() -> impl Strategy<Value = Check> {
    let all = fixtures::all().len();
    let numbers = prop::collection::vec((any::<prop::sample::Index>(), 0..9u8, odd()), 0..12);
    (0..all, numbers).prop_map(|(which, numbers)| {
        let mut check = fixtures::all().swap_remove(which).1;
        for (at, field, value) in numbers {
            replace(&mut check, at, field, value);
        }
        check
    })
}

fn replace(check: &mut Check, at: prop::sample::Index, field: u8, value: f64) {
    match field {
        6 => check.verdict.probability = value,
        7 => {
            if let Some(rekey) = &mut check.verdict.rekey {
                rekey.period_median = Some(Seconds(value));
                rekey.gap_cv = Some(value);
            }
        }
        8 => {
            if let Some(column) = check.strip.columns.first_mut() {
                column.mean_db = value as f32;
                column.bands_db.fill(value as f32);
            }
        }
        _ if check.timeline.drops.is_empty() => {}
        _ => {
            let mut drops = check.timeline.drops.to_vec();
            let drop = at.get(&drops).drop;
            let Some(found) = drops.iter_mut().find(|d| d.drop == drop) else {
                return;
            };
            match field {
                0 => found.on = Some(Seconds(value)),
                1 => found.blip = Some(Seconds(value)),
                2 => found.tail = Some(Seconds(value)),
                3 => found.gap = Some(Seconds(value)),
                4 => found.quieting = Some(Decibels(value)),
                _ => found.rekey = Some(Instant(value)),
            }
            check.timeline.drops = drops.into();
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn everything_is_made(check in spoilt(), width in 0..200usize) {
        for format in [Format::Wide, Format::Narrow] {
            let svg = picture::svg(&check, Options { format, ..Options::default() });
            prop_assert!(roxmltree::Document::parse(&svg).is_ok());
            prop_assert!(!svg.contains("NaN") && !svg.contains("\"inf"), "{}", svg);
        }
        let said = text::render(&check, text::Style { width, colour: false });
        prop_assert!(said.contains("Next step"));
        let value: serde_json::Value = serde_json::from_str(&json::check(&check)).unwrap();
        let schema = serde_json::from_str(&json::schema("check").unwrap()).unwrap();
        prop_assert!(jsonschema::is_valid(&schema, &value), "{}", value);
        prop_assert!(!csv::render(&check).is_empty());
        prop_assert!(vtt::render(&check).starts_with("WEBVTT"));
        prop_assert!(render(&check, Sound::None).contains("</html>"));
    }
}
