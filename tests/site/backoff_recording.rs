//! The stepped test from a timeline and its steps.

use tailbeat::backoff::from_recording::trials;
use tailbeat::backoff::marks::{Ladder, Mark, steps as marked};
use tailbeat::backoff::steps::{Step, read};
use tailbeat::backoff::trials::Exclusion;
use tailbeat::timeline::types::{Drop, Event, EventKind, TransmissionSound};
use tailbeat::units::{Decibels, Hertz, Instant, Seconds};

fn drop(at: f64, gap: Option<f64>, came_back: Option<bool>) -> Drop {
    Drop {
        drop: Instant(at),
        rekey: gap.map(|gap| Instant(at + gap)),
        gap: gap.map(Seconds),
        on: Some(Seconds(3.3)),
        blip: Some(Seconds(0.2)),
        tail: Some(Seconds(3.1)),
        came_back,
        quieting: None,
        sound: TransmissionSound::default(),
    }
}

fn steps() -> Vec<Step> {
    read(
        "steps.csv",
        "start_s,backoff_db\n10,2\n20,4\n30,-6\n35,6\n50,8\n",
    )
    .unwrap()
}

fn event(t: f64, kind: EventKind, confidence: f64) -> Event {
    Event {
        t: Instant(t),
        kind,
        sd: Seconds(0.005),
        confidence,
    }
}

#[test]
fn drops_become_trials_of_the_step_in_force() {
    let drops = [
        drop(5.0, Some(0.2), Some(true)),
        drop(12.0, Some(0.2), Some(true)),
        drop(15.5, Some(0.2), Some(true)),
        drop(24.0, Some(6.0), Some(false)),
        drop(32.0, Some(0.2), Some(true)),
        drop(40.0, None, None),
        drop(49.0, None, Some(false)),
        drop(49.7, Some(0.2), Some(true)),
    ];
    let found = trials(&drops, &[], &[], &steps());
    let kept: Vec<_> = found
        .trials
        .iter()
        .map(|t| (t.backoff.get(), t.came_back))
        .collect();
    assert_eq!(kept, [(2.0, true), (2.0, true), (4.0, false), (6.0, true)]);
    assert_eq!(
        found.trials[2].gap, None,
        "a re-key much later is no gap of this trial"
    );
    let excluded: Vec<_> = found
        .excluded
        .iter()
        .map(|e| (e.at.get(), e.reason))
        .collect();
    assert_eq!(
        excluded,
        [
            (5.0, Exclusion::BeforeFirstStep),
            (32.0, Exclusion::OperatorRaised),
            (40.0, Exclusion::GapNotObservable),
            (49.0, Exclusion::StepChanged),
            (50.0, Exclusion::NoDrop),
        ]
    );
}

#[test]
fn disturbed_and_doubtful_drops_do_not_count() {
    let drops = [
        drop(12.0, Some(0.2), Some(true)),
        drop(15.0, Some(0.2), Some(true)),
    ];
    let events = [
        event(15.0, EventKind::CarrierDrop, 0.6),
        event(15.2, EventKind::KeyUp, 0.7),
    ];
    let damage = [(Instant(12.1), Instant(12.15))];
    let found = trials(&drops, &events, &damage, &steps());
    assert!(found.trials.is_empty());
    let reasons: Vec<_> = found.excluded.iter().map(|e| e.reason).collect();
    assert_eq!(reasons[..2], [Exclusion::Disturbed, Exclusion::Doubtful]);
    let sure = [
        event(15.0, EventKind::CarrierDrop, 0.9),
        event(15.2, EventKind::KeyUp, 0.9),
    ];
    let found = trials(&drops, &sure, &[], &steps());
    assert_eq!(found.trials.len(), 2);
    assert_eq!(found.trials[1].confidence, Some(0.81));
    assert_eq!(found.trials[0].confidence, None);
}

#[test]
fn marks_in_the_recording_make_steps() {
    let digit = |t, digit| {
        event(
            t,
            EventKind::Tone {
                frequency: Hertz(770.0),
                digit: Some(digit),
            },
            0.9,
        )
    };
    let events = [
        digit(10.0, '1'),
        digit(10.3, '1'),
        digit(20.0, '2'),
        digit(30.0, '*'),
        digit(35.0, '3'),
        event(
            36.0,
            EventKind::Tone {
                frequency: Hertz(1000.0),
                digit: None,
            },
            0.9,
        ),
        event(
            37.0,
            EventKind::Tone {
                frequency: Hertz(1000.0),
                digit: Some('9'),
            },
            0.2,
        ),
    ];
    let ladder = Ladder {
        first: Decibels(2.0),
        step: Decibels(2.0),
    };
    let found: Vec<_> = marked(&events, Mark::Digit, ladder)
        .unwrap()
        .iter()
        .map(|s| (s.start.get(), s.backoff.get()))
        .collect();
    assert_eq!(found, [(10.0, 2.0), (20.0, 4.0), (30.0, -2.0), (35.0, 6.0)]);
    let tones = marked(&events, Mark::Tone(Hertz(1010.0)), ladder).unwrap();
    assert_eq!(tones.len(), 1);
    let none = marked(&events, Mark::Tone(Hertz(1500.0)), ladder).unwrap_err();
    assert!(none.to_string().contains("no mark was heard"));
}

#[test]
fn bad_steps_name_line_and_remedy() {
    let refusal = |text: &str| read("steps.csv", text).unwrap_err().to_string();
    assert_eq!(
        refusal("start_s,backoff_db\n0,0\n9,2\n5,4\n"),
        "steps.csv line 4: this step starts at 5 s, not after 9 s; put the steps in the order \
         of time"
    );
    assert!(refusal("start_s\n0\n").starts_with("steps.csv line 1: the column backoff_db"));
    assert!(refusal("start_s,backoff_db\n0,two\n").contains("not a number"));
    assert!(refusal("start_s,backoff_db\n-1,2\n").contains("from the start of the recording"));
    assert!(refusal("start_s,backoff_db\n").contains("no steps"));
}
