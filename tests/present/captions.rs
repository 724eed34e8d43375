//! `events.vtt` against the rules of W3C WebVTT, by a small reader of its own.

use crate::fixtures;
use tailbeat::present::tables::vtt;

#[test]
fn two_drops_are_written_down() {
    insta::assert_snapshot!(vtt::render(&fixtures::two_drops()));
}

/// Milliseconds of `hh:mm:ss.ttt` with two or more digits of hours.
fn milliseconds(stamp: &str) -> u64 {
    let (clock, thousandths) = stamp.split_once('.').unwrap();
    let parts: Vec<&str> = clock.split(':').collect();
    let [hours, minutes, seconds] = parts[..] else {
        panic!("{stamp}")
    };
    assert!(
        hours.len() >= 2 && minutes.len() == 2 && seconds.len() == 2,
        "{stamp}"
    );
    assert_eq!(thousandths.len(), 3, "{stamp}");
    let number = |text: &str| text.parse::<u64>().unwrap();
    assert!(number(minutes) < 60 && number(seconds) < 60, "{stamp}");
    ((number(hours) * 60 + number(minutes)) * 60 + number(seconds)) * 1000 + number(thousandths)
}

#[test]
fn every_file_keeps_the_rules() {
    for (name, check) in fixtures::all() {
        let file = vtt::render(&check);
        let mut blocks = file.trim_end_matches('\n').split("\n\n");
        assert_eq!(blocks.next(), Some("WEBVTT"), "{name}");
        let mut before = 0;
        for block in blocks {
            let lines: Vec<&str> = block.split('\n').collect();
            assert_eq!(lines.len(), 3, "{name}: {block}");
            assert!(
                !lines[0].contains("-->") && !lines[2].contains("-->"),
                "{name}: {block}"
            );
            assert!(
                !lines[2].is_empty() && !lines[2].contains('<'),
                "{name}: {block}"
            );
            let (from, to) = lines[1].split_once(" --> ").unwrap();
            let (from, to) = (milliseconds(from), milliseconds(to));
            assert!(from >= before && to > from, "{name}: {block}");
            before = from;
        }
    }
}

#[test]
fn a_drop_that_came_straight_back_says_so() {
    let file = vtt::render(&fixtures::two_drops());
    assert!(file.contains("carrier drops, back after 0.22 s"), "{file}");
}
