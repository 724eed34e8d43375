use super::*;
use crate::proving::outcome::Hang;
use crate::proving::tally::EventTally;
use crate::units::{Instant, Seconds};

fn outcome(name: &str, tier: Tier, cause: Cause, said: Label, p_self_desense: f64) -> Outcome {
    let (scene, rest) = name.split_once('@').unwrap();
    let times = [Instant(1.0), Instant(2.0)];
    let tally = EventTally::of(&times, &times, Seconds(0.05));
    Outcome {
        name: name.into(),
        scene: scene.into(),
        chain: rest.split_once(':').unwrap().0.into(),
        tier,
        encoding: "wav".into(),
        cause,
        not_wrong: Vec::new(),
        answer: Answer::Said {
            label: said,
            p_self_desense,
        },
        key_up: tally.clone(),
        input_loss: tally.clone(),
        carrier_drop: tally,
        hang: Hang {
            truth: Some(Seconds(3.0)),
            found: Some(Seconds(3.004)),
        },
    }
}

fn page(outcomes: &[Outcome]) -> Page {
    let made = Made {
        part: Part::HeldOut,
        why: "because",
        command: "prove",
        judged_by: None,
        whole: 9,
        version: "0.0.0",
    };
    Page::new(&made, outcomes)
}

fn some_outcomes() -> Vec<Outcome> {
    let said = Label::Cause;
    vec![
        outcome(
            "a@x:0",
            Tier::Line,
            Cause::SelfDesense,
            said(Cause::SelfDesense),
            0.98,
        ),
        outcome(
            "a@x:1",
            Tier::Line,
            Cause::SelfDesense,
            Label::Inconclusive,
            0.4,
        ),
        outcome(
            "b@x:0",
            Tier::Line,
            Cause::HandKeying,
            said(Cause::HandKeying),
            0.01,
        ),
        outcome(
            "b@y:0",
            Tier::Cut,
            Cause::HandKeying,
            said(Cause::SelfDesense),
            0.8,
        ),
    ]
}

#[test]
fn the_page_tells_what_was_measured_and_what_was_missed() {
    let text = page(&some_outcomes()).to_markdown();
    for expected in [
        "| self-desense found | 50.0 % | 9.5 to 90.5 | ≥ 99.0 % | **missed** |",
        "| hang-time error, median | 4.0 ms | – | ≤ 10.0 ms | met |",
        "| `b@y:0` (wav) | hand keying | self desense | 0.800 |",
        "| `a@x:1` (wav) | self desense | inconclusive | 0.400 |",
        "| hand keying | 1 | · | · | · | · | 1 |",
        "2 in all, gravest first",
        "4 recordings, a selection out of 9.",
        "| self-desense found | **50.0 %** (missed: ≥ 99.0 %) |",
    ] {
        assert!(text.contains(expected), "{expected} not in\n{text}");
    }
    let alarm = text.find("`b@y:0`").unwrap();
    assert!(
        alarm < text.find("`a@x:1`").unwrap(),
        "a false alarm is the gravest"
    );
}

#[test]
fn the_same_outcomes_give_the_same_bytes() {
    let (one, two) = (page(&some_outcomes()), page(&some_outcomes()));
    assert_eq!(one.to_markdown(), two.to_markdown());
    assert_eq!(one.to_json().unwrap(), two.to_json().unwrap());
}

#[test]
fn programs_read_the_same_numbers() {
    let value: serde_json::Value =
        serde_json::from_str(&page(&some_outcomes()).to_json().unwrap()).unwrap();
    assert_eq!(value["schema"], "tailbeat.accuracy/1");
    assert_eq!(value["part"], "held-out");
    assert_eq!(value["tiers"]["line"]["recall"]["part"], 1);
    assert_eq!(
        value["tiers"]["line"]["recall"]["interval"]["low"],
        0.094_531
    );
    assert_eq!(value["misses"].as_array().unwrap().len(), 2);
    assert_eq!(value["scenes"]["b"]["right"]["whole"], 2);
}

#[test]
fn an_empty_page_is_still_a_page() {
    assert!(page(&[]).to_markdown().ends_with("None.\n"));
}
