//! Event matching against the PyPI package sed_eval 0.2.1 (Mesaros, Heittola & Virtanen,
//! Appl. Sci. 6(6):162, 2016; documentation seen, package run).
//!
//! The stored values below were made with sed_eval 0.2.1; `tests/outside/sed_eval_check.py` runs
//! the package itself over the cases that this file writes.

use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};
use tailbeat::proving::matching::{OffsetRule, Span, SpanRule, match_instants, match_spans};
use tailbeat::proving::tally::Counts;
use tailbeat::units::{Instant, Seconds};

const ONSET_ONLY: SpanRule = SpanRule {
    collar: Seconds(0.2),
    offset: None,
};
const ONSET_AND_OFFSET: SpanRule = SpanRule {
    collar: Seconds(0.2),
    offset: Some(OffsetRule {
        share_of_length: 0.5,
    }),
};

fn spans(list: &[(f64, f64)]) -> Vec<Span> {
    list.iter()
        .map(|&(onset, offset)| Span {
            onset: Instant(onset),
            offset: Instant(offset),
        })
        .collect()
}

fn count(truth: &[Span], found: &[Span], rule: &SpanRule) -> Counts {
    Counts::of(
        truth.len(),
        found.len(),
        match_spans(truth, found, rule).len(),
    )
}

/// Four truths, five detections: F1 0.444 and error rate 1.25 with offsets, 0.667 and 0.75
/// without, as sed_eval 0.2.1 prints them (collar 0.2 s, half of the true length, optimal).
#[test]
fn four_truths_five_detections_as_sed_eval_scores_them() {
    let truth = spans(&[(0.0, 1.0), (2.0, 3.0), (5.0, 7.0), (9.0, 9.3)]);
    let found = spans(&[
        (0.1, 1.1),
        (2.3, 3.0),
        (5.1, 6.2),
        (9.05, 9.6),
        (12.0, 13.0),
    ]);

    let both = count(&truth, &found, &ONSET_AND_OFFSET);
    assert_eq!(
        both,
        Counts {
            hits: 2,
            spurious: 3,
            missed: 2
        }
    );
    assert!((both.f1().unwrap() - 0.444_444_444_444_444_5).abs() < 1e-12);
    assert!((both.error_rate().unwrap() - 1.25).abs() < 1e-12);

    let onset = count(&truth, &found, &ONSET_ONLY);
    assert_eq!(
        onset,
        Counts {
            hits: 3,
            spurious: 2,
            missed: 1
        }
    );
    assert!((onset.f1().unwrap() - 0.666_666_666_666_666_6).abs() < 1e-12);
    assert!((onset.error_rate().unwrap() - 0.75).abs() < 1e-12);
}

/// The table over prefixes and the augmenting paths are two algorithms; on instants they must
/// agree on the number of pairs, and the table must not be beaten on their total error.
#[test]
fn both_matchers_find_as_many_pairs() {
    let mut rng = ChaCha8Rng::seed_from_u64(1);
    for _ in 0..2000 {
        let truth = some_spans(&mut rng, 12);
        let found = some_spans(&mut rng, 12);
        let onsets = |list: &[Span]| list.iter().map(|span| span.onset).collect::<Vec<_>>();
        let (truth_t, found_t) = (onsets(&truth), onsets(&found));
        let by_table = match_instants(&truth_t, &found_t, ONSET_ONLY.collar);
        let by_paths = match_spans(&truth, &found, &ONSET_ONLY);
        assert_eq!(by_table.len(), by_paths.len(), "{truth_t:?} {found_t:?}");
        let total = |pairs: &[tailbeat::proving::matching::Pair]| -> f64 {
            pairs
                .iter()
                .map(|p| (truth_t[p.truth] - found_t[p.found]).0.abs())
                .sum()
        };
        assert!(
            total(&by_table) <= total(&by_paths) + 1e-9,
            "{truth_t:?} {found_t:?}"
        );
    }
}

/// Crowded lists (up to `most` spans in 4 s), so that choices compete.
fn some_spans(rng: &mut impl Rng, most: usize) -> Vec<Span> {
    let count = rng.random_range(0..=most);
    let mut list: Vec<Span> = (0..count)
        .map(|_| {
            let onset: f64 = rng.random_range(0.0..4.0);
            let length: f64 = rng.random_range(0.05..1.5);
            Span {
                onset: Instant(onset),
                offset: Instant(onset + length),
            }
        })
        .collect();
    list.sort_by(|a, b| a.onset.total_cmp(&b.onset));
    list
}

fn as_json(list: &[Span]) -> Vec<[f64; 2]> {
    list.iter()
        .map(|span| [span.onset.0, span.offset.0])
        .collect()
}

fn counts_json(counts: Counts) -> Value {
    json!({ "hits": counts.hits, "spurious": counts.spurious, "missed": counts.missed })
}

/// Writes random cases with our counts for `tests/outside/sed_eval_check.py`.
#[test]
fn writes_cases_for_the_live_check() {
    let mut rng = ChaCha8Rng::seed_from_u64(2);
    let cases: Vec<Value> = (0..300)
        .map(|_| {
            let (truth, found) = (some_spans(&mut rng, 14), some_spans(&mut rng, 14));
            json!({
                "truth": as_json(&truth),
                "found": as_json(&found),
                "onset": counts_json(count(&truth, &found, &ONSET_ONLY)),
                "onset_and_offset": counts_json(count(&truth, &found, &ONSET_AND_OFFSET)),
            })
        })
        .filter(|case| case["truth"] != json!([]) && case["found"] != json!([]))
        .collect();
    assert!(
        cases.len() > 200,
        "too few cases with events on both sides: {}",
        cases.len()
    );
    let document = json!({ "collar_s": 0.2, "share_of_length": 0.5, "cases": cases });
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("event_matching.json");
    std::fs::write(&path, serde_json::to_string(&document).unwrap()).unwrap();
    let back: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
    assert_eq!(back, document);
}
