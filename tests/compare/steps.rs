//! Stepped tests before and after.

use crate::exhibits::{heard, recording, test};
use crate::near;
use tailbeat::compare::change::{DesenseFinding, Finding};
use tailbeat::compare::{Comparison, Stated, compare};
use tailbeat::present::compare::leaf;
use tailbeat::present::numbers::plain;
use tailbeat::units::Decibels;

fn tests(before: &[(f64, u32, u32)], after: &[(f64, u32, u32)]) -> Comparison {
    compare(
        vec![test("b", before)],
        vec![test("a", after)],
        Stated::default(),
    )
    .unwrap()
}

fn finding(before: &[(f64, u32, u32)], after: &[(f64, u32, u32)]) -> DesenseFinding {
    tests(before, after).desense.unwrap().finding
}

/// The trade's own figures: back at 2, 4, 6, 8, not at 10 dB (common practice, no source).
const EIGHT: [(f64, u32, u32); 5] = [
    (2.0, 3, 3),
    (4.0, 3, 3),
    (6.0, 3, 3),
    (8.0, 3, 3),
    (10.0, 3, 0),
];

#[test]
fn brackets_prove_what_lies_between_them() {
    assert_eq!(
        finding(&EIGHT, &[(2.0, 3, 3), (4.0, 3, 0)]),
        DesenseFinding::Lower {
            at_least: Decibels(4.0)
        }
    );
    assert_eq!(
        finding(&[(2.0, 3, 3), (4.0, 3, 0)], &EIGHT),
        DesenseFinding::Higher {
            at_least: Decibels(4.0)
        }
    );
    assert_eq!(
        finding(&EIGHT, &[(2.0, 3, 0), (4.0, 3, 0)]),
        DesenseFinding::NoneLeft {
            below: Some(Decibels(2.0))
        }
    );
    assert_eq!(
        finding(&EIGHT, &EIGHT[..4]),
        DesenseFinding::Overlap,
        "no upper end after"
    );
    assert_eq!(
        finding(&EIGHT, &[(9.0, 3, 3), (11.0, 3, 0)]),
        DesenseFinding::Overlap
    );
    let none = [(2.0, 3, 0)];
    assert_eq!(finding(&none, &none), DesenseFinding::NoneEither);
    assert_eq!(finding(&EIGHT, &[]), DesenseFinding::NoTrials);
}

#[test]
fn the_fall_of_the_estimates_has_an_interval() {
    let of = tests(
        &[(4.0, 4, 4), (6.0, 4, 3), (8.0, 4, 1), (10.0, 4, 0)],
        &[(0.0, 4, 4), (1.0, 4, 3), (3.0, 4, 1), (4.0, 4, 0)],
    );
    let change = of.desense.unwrap();
    // Symmetric about 7 dB and about 2 dB.
    near(change.fell_by.unwrap().get(), 5.0, 1e-3);
    assert!(change.fell_low.unwrap().get() < 5.0 && change.fell_high.unwrap().get() > 5.0);
    let said = plain(&leaf(&of).paragraph);
    assert!(said.contains("it fell by 5.0 dB"), "{said}");
    assert!(said.contains("hysteresis cancels out"), "{said}");
}

#[test]
fn tests_alone_make_a_headline_and_drops_come_first() {
    let of = tests(&EIGHT, &[(2.0, 3, 3), (4.0, 3, 0)]);
    assert_eq!(
        of.share.finding,
        Finding::NoTrials {
            before: true,
            after: true
        }
    );
    assert_eq!(
        plain(&leaf(&of).headline),
        "The desense fell by at least 4.0 dB"
    );
    let of = compare(
        vec![test("b", &EIGHT), recording(heard("c", 12, 12))],
        vec![test("a", &[(2.0, 3, 0)]), recording(heard("d", 0, 12))],
        Stated::default(),
    )
    .unwrap();
    let said = leaf(&of);
    assert!(
        said.headline.starts_with("It no longer came back"),
        "{}",
        said.headline
    );
    assert!(
        said.paragraph.contains("The stepped tests found"),
        "{}",
        said.paragraph
    );
}

#[test]
fn two_tests_of_a_set_are_one() {
    let of = compare(
        vec![test("b", &EIGHT[..3]), test("c", &EIGHT[3..])],
        vec![test("a", &[(2.0, 3, 0)])],
        Stated::default(),
    )
    .unwrap();
    let bracket = &of.tally_before.test.as_ref().unwrap().bracket;
    assert_eq!(bracket.at_least, Some(Decibels(8.0)));
    assert_eq!(bracket.less_than, Some(Decibels(10.0)));
}
