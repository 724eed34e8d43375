use super::*;
use crate::proving::outcome::Hang;
use crate::proving::tally::EventTally;
use crate::simulate::truth::Tier;
use crate::units::{Instant, Seconds};
use Cause::{HandKeying, OrdinaryTraffic, SelfDesense, WeakSignalFading};

fn outcome(cause: Cause, said: Label, p_self_desense: f64) -> Outcome {
    Outcome {
        name: "scene@chain:0".into(),
        scene: "scene".into(),
        chain: "chain".into(),
        tier: Tier::Line,
        encoding: "wav".into(),
        cause,
        not_wrong: Vec::new(),
        answer: Answer::Said {
            label: said,
            p_self_desense,
        },
        key_up: EventTally::default(),
        input_loss: EventTally::default(),
        carrier_drop: EventTally::default(),
        hang: Hang::default(),
    }
}

fn said(cause: Cause, said: Cause) -> Outcome {
    outcome(
        cause,
        Label::Cause(said),
        if said == SelfDesense { 0.9 } else { 0.1 },
    )
}

fn scores(outcomes: &[Outcome]) -> Scores {
    Scores::of(&outcomes.iter().collect::<Vec<_>>())
}

#[test]
fn nothing_scores_nothing() {
    let scores = scores(&[]);
    assert_eq!(
        (scores.recordings, scores.right, scores.recall),
        (0, None, None)
    );
    assert!(scores.macro_f1.is_none() && scores.forecast.is_none() && scores.causes.is_empty());
}

/// Three desense (two found, one called fading), two talk (one called desense), one fading found:
/// recall 2/3, false alarms 1/3; F1: desense 4/6, fading 2/3, talk 2/3.
#[test]
fn by_hand() {
    let scores = scores(&[
        said(SelfDesense, SelfDesense),
        said(SelfDesense, SelfDesense),
        said(SelfDesense, WeakSignalFading),
        said(OrdinaryTraffic, OrdinaryTraffic),
        said(OrdinaryTraffic, SelfDesense),
        said(WeakSignalFading, WeakSignalFading),
    ]);
    let share = |share: Option<Share>| share.map(|s| (s.part, s.whole));
    assert_eq!(share(scores.recall), Some((2, 3)));
    assert_eq!(share(scores.false_alarms), Some((1, 3)));
    assert_eq!(share(scores.right), Some((4, 6)));
    assert!((scores.macro_f1.unwrap().value - 2.0 / 3.0).abs() < 1e-12);
    let desense = &scores.causes[0];
    assert_eq!(
        (share(desense.precision), share(desense.recall)),
        (Some((2, 3)), Some((2, 3)))
    );
    // Stated 0.9 twice right and once wrong, 0.1 once wrong: (3 * 0.01 ... ) by hand:
    // 0.01 + 0.01 + 0.81 + 0.01 + 0.81 + 0.01 = 1.66 over six.
    assert!((scores.forecast.unwrap().brier.value - 1.66 / 6.0).abs() < 1e-12);
}

#[test]
fn inconclusive_is_a_miss_unless_the_recording_allows_it() {
    let strict = outcome(SelfDesense, Label::Inconclusive, 0.5);
    let allowed = Outcome {
        not_wrong: vec![Label::Inconclusive],
        ..strict.clone()
    };
    assert_eq!(
        scores(std::slice::from_ref(&strict)).recall.unwrap().value,
        0.0
    );
    let lenient = scores(&[allowed, said(SelfDesense, SelfDesense)]);
    assert_eq!(lenient.recall.unwrap(), Share::of(1, 1).unwrap());
    assert_eq!((lenient.not_wrong, lenient.inconclusive), (1, 2 - 1));
    assert_eq!(scores(&[strict]).macro_f1.unwrap().value, 0.0);
}

#[test]
fn an_allowed_other_answer_is_no_false_alarm_only_if_it_is_not_self_desense() {
    let mut talk = said(OrdinaryTraffic, SelfDesense);
    talk.not_wrong = vec![Label::Inconclusive];
    assert_eq!(scores(&[talk]).false_alarms.unwrap().part, 1);
}

#[test]
fn no_verdict_is_wrong() {
    let mut failed = said(HandKeying, HandKeying);
    failed.answer = Answer::Failed("no audio".into());
    let scores = scores(&[failed]);
    assert_eq!((scores.failed, scores.right.unwrap().part), (1, 0));
    assert!(scores.forecast.is_none());
}

#[test]
fn confusion_counts_every_answer_once() {
    let mut open = outcome(SelfDesense, Label::Inconclusive, 0.4);
    open.not_wrong = vec![Label::Inconclusive];
    let outcomes = [
        said(SelfDesense, SelfDesense),
        said(SelfDesense, HandKeying),
        open,
    ];
    let table = confusion(&outcomes.iter().collect::<Vec<_>>());
    let [row] = table.rows.as_slice() else {
        panic!("one row expected: {table:?}")
    };
    assert_eq!(
        row.said.iter().sum::<usize>() + row.inconclusive + row.failed,
        row.recordings
    );
    assert_eq!((row.said[0], row.said[HandKeying.index()]), (1, 1));
    assert_eq!((row.inconclusive, row.not_wrong), (1, 1));
    assert_eq!(row.right, Share::of(1, 2));
}

#[test]
fn events_pool_over_recordings() {
    let with = |truth: &[f64], found: &[f64]| {
        let at = |list: &[f64]| list.iter().copied().map(Instant).collect::<Vec<_>>();
        let mut outcome = said(SelfDesense, SelfDesense);
        outcome.key_up = EventTally::of(&at(truth), &at(found), Seconds(0.05));
        outcome
    };
    let scores = scores(&[
        with(&[1.0, 2.0], &[1.0078125, 2.015625]),
        with(&[1.0, 5.0], &[0.96875, 3.0]),
    ]);
    assert_eq!(scores.key_up.f1.unwrap().value, 6.0 / 8.0);
    let error = scores.key_up.error.unwrap();
    assert_eq!(
        (error.count, error.median_s, error.bias_s),
        (3, 0.015625, 0.0078125)
    );
}

#[test]
fn hang_times_are_compared_where_a_tail_could_be_heard() {
    let with = |truth: Option<f64>, found: Option<f64>| {
        let mut outcome = said(SelfDesense, SelfDesense);
        outcome.hang = Hang {
            truth: truth.map(Seconds),
            found: found.map(Seconds),
        };
        outcome
    };
    let scores = scores(&[
        with(Some(3.0), Some(3.25)),
        with(Some(2.0), None),
        with(None, Some(1.0)),
        with(None, None),
    ]);
    let hang = scores.hang;
    assert_eq!((hang.audible, hang.estimated, hang.unfounded), (2, 1, 1));
    assert_eq!(hang.error.unwrap().median_s, 0.25);
}
