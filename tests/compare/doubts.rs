//! Each doubt comes with its reason, and not without.

use crate::exhibits::{compared, heard, recording, test};
use tailbeat::cause::verdict::Label;
use tailbeat::compare::{Comparison, Exhibit, Heard, Stated, compare};
use tailbeat::present::compare::CompareJson;
use tailbeat::timeline::types::{HangTime, ListeningMode};
use tailbeat::units::{Decibels, Hertz, Seconds};

fn codes(of: &Comparison) -> Vec<String> {
    CompareJson::from(of)
        .doubts
        .into_iter()
        .map(|d| d.code)
        .collect()
}

/// Two recordings after, so that nothing but the change under test is doubtful.
fn with(change: impl Fn(&mut Heard)) -> Comparison {
    let mut after = heard("after.wav", 0, 10);
    let mut second = heard("second.wav", 0, 10);
    change(&mut after);
    change(&mut second);
    let before = vec![recording(heard("before.wav", 20, 20))];
    compare(
        before,
        vec![recording(after), recording(second)],
        Stated::default(),
    )
    .unwrap()
}

#[test]
fn like_sets_leave_none() {
    assert_eq!(codes(&with(|_| {})), Vec::<String>::new());
}

#[test]
fn sets_made_unlike_are_named() {
    let hang = |s: f64| {
        move |h: &mut Heard| {
            h.hang = Some(HangTime {
                estimate: Seconds(s),
                low: Seconds(s - 0.02),
                high: Seconds(s + 0.02),
                count: 10,
            });
        }
    };
    assert_eq!(codes(&with(hang(4.5))), ["hang_time_differs"]);
    assert_eq!(
        codes(&with(hang(3.09))),
        Vec::<String>::new(),
        "a setting read anew"
    );
    let one_tail = |h: &mut Heard| {
        hang(4.5)(h);
        h.hang = h.hang.map(|hang| HangTime { count: 1, ..hang });
    };
    assert_eq!(
        codes(&with(one_tail)),
        Vec::<String>::new(),
        "two tails tell no setting"
    );
    let squelched = |h: &mut Heard| h.mode = ListeningMode::Squelched;
    assert_eq!(codes(&with(squelched)), ["listening_differs"]);
    let memo = |h: &mut Heard| h.recorder.codec = "aac".into();
    assert_eq!(codes(&with(memo)), ["recorder_differs"]);
    let narrow = |h: &mut Heard| h.recorder.bandwidth = Some(Hertz(2400.0));
    assert_eq!(codes(&with(narrow)), ["recorder_differs"]);
    let stronger = |h: &mut Heard| {
        for drop in &mut h.drops {
            drop.quieting = Some(Decibels(24.0));
        }
    };
    assert_eq!(codes(&with(stronger)), ["signal_differs"]);
    // More quieting, yet no usable signal: without desense there is less noise before a loss.
    let less_noise = |h: &mut Heard| {
        for drop in &mut h.drops {
            drop.quieting = Some(Decibels(16.0));
        }
    };
    assert_eq!(codes(&with(less_noise)), Vec::<String>::new());
}

#[test]
fn sets_that_tell_less_than_their_numbers_are_named() {
    assert_eq!(codes(&compared((20, 20), (0, 20))), ["one_sitting"]);
    assert_eq!(
        codes(&compared((20, 30), (0, 20))),
        ["came_and_went", "one_sitting"]
    );
    assert!(codes(&compared((20, 20), (0, 3))).contains(&"few_drops".to_owned()));
    let untold = |h: &mut Heard| h.drops[0].came_back = None;
    assert_eq!(codes(&with(untold)), ["outcomes_unknown"]);
    let unsettled = vec![recording(Heard {
        label: Label::Inconclusive,
        ..heard("before.wav", 20, 20)
    })];
    let after =
        || -> Vec<Exhibit> { vec![recording(heard("a", 0, 10)), recording(heard("b", 0, 10))] };
    let of = compare(unsettled, after(), Stated::default()).unwrap();
    assert_eq!(codes(&of), ["other_cause_before"]);
    // One day it came back each time, another day hardly ever.
    let days = vec![
        recording(heard("wet", 12, 12)),
        recording(heard("dry", 1, 12)),
    ];
    let of = compare(days, after(), Stated::default()).unwrap();
    assert_eq!(codes(&of), ["uneven_set", "came_and_went"]);
    let still = compared((20, 20), (4, 20));
    assert!(codes(&still).contains(&"self_desense_after".to_owned()));
}

#[test]
fn stepped_tests_have_their_own() {
    let good = || test("good.json", &[(2.0, 3, 3), (4.0, 3, 3), (6.0, 3, 0)]);
    let after = |name: &str, levels: &[(f64, u32, u32)]| {
        compare(vec![good()], vec![test(name, levels)], Stated::default()).unwrap()
    };
    assert_eq!(
        codes(&after("a", &[(2.0, 3, 0), (4.0, 3, 0)])),
        Vec::<String>::new()
    );
    assert_eq!(
        codes(&after("a", &[(2.0, 1, 0), (4.0, 3, 0)])),
        ["steps_tried_too_little"]
    );
    let torn = after("a", &[(2.0, 3, 0), (4.0, 3, 3), (6.0, 3, 0)]);
    assert_eq!(codes(&torn), ["steps_out_of_order"]);
}
