use super::*;
use crate::simulate::scenario::Speech;

const SPLIT: &str = "
[fit]
why = 'a'
scenes = { cycling = 2 }
chains = ['line-a']
[held_out]
why = 'b'
scenes = { talk = 1 }
chains = ['line-b', 'line-c']
";

fn files(split: &str, rulings: &str) -> Vec<(String, String)> {
    let file = |path: &str, text: &str| (path.to_string(), text.to_string());
    let line = "tier = 'line'\nencodings = ['wav', 'flac']\n[recorder]\nrate_hz = 8000";
    vec![
        file("common.toml", "duration_s = { from = 20, to = 40 }"),
        file("split.toml", split),
        file("rulings.toml", rulings),
        file(
            "families/scenes/cycling.toml",
            "cause = 'self_desense'\nabout = 'x'",
        ),
        file(
            "families/scenes/talk.toml",
            "cause = 'ordinary_traffic'\nduration_s = 25",
        ),
        file(
            "families/scenes/talk-longer.toml",
            "like = 'talk'\nduration_s = 40\nspeech = 'anything'",
        ),
        file("families/chains/line-a.toml", line),
        file("families/chains/line-b.toml", line),
        file("families/chains/line-c.toml", line),
        file("README.md", "not a family"),
    ]
}

#[test]
fn every_scene_of_a_part_is_heard_over_every_chain() {
    let corpus = Corpus::from_files(&files(SPLIT, "")).unwrap();
    let names = |part| {
        corpus
            .cells(part)
            .iter()
            .map(Cell::to_string)
            .collect::<Vec<_>>()
    };
    assert_eq!(names(Part::Fit), ["cycling@line-a:0", "cycling@line-a:1"]);
    assert_eq!(names(Part::HeldOut), ["talk@line-b:0", "talk@line-c:0"]);
    assert_eq!(names(Part::Quick).len(), 1, "one tier, one cause");
}

#[test]
fn a_scene_has_what_the_one_that_it_is_like_says() {
    let corpus = Corpus::from_files(&files(SPLIT, "")).unwrap();
    let drawn = |name: &str| corpus.draw(&Cell::parse(name).unwrap()).unwrap().scenario;
    let (talk, longer) = (drawn("talk@line-b:0"), drawn("talk-longer@line-b:0"));
    assert_eq!(longer.cause, Cause::OrdinaryTraffic);
    assert_eq!(corpus.cause_of("talk-longer"), Some(Cause::OrdinaryTraffic));
    assert_eq!((talk.duration_s, longer.duration_s), (25.0, 40.0));
    assert_eq!(
        (talk.speech, longer.speech),
        (Speech::Voices, Speech::Anything)
    );
}

#[test]
fn a_scene_that_is_like_none_or_like_one_that_is_like_another_is_named() {
    for like in ["nobody", "talk-longer"] {
        let mut files = files(SPLIT, "");
        let text = format!("like = '{like}'");
        files.push(("families/scenes/odd.toml".into(), text));
        let what = Corpus::from_files(&files).unwrap_err().to_string();
        assert!(what.contains("odd.toml") && what.contains("like"), "{what}");
    }
}

#[test]
fn scene_chain_and_common_values_come_together() {
    let rulings = "[[ruling]]\nscene = 'talk'\nalso = ['inconclusive']\nwhy = 'short'";
    let corpus = Corpus::from_files(&files(SPLIT, rulings)).unwrap();
    let talk = corpus.draw(&Cell::parse("talk@line-b:0").unwrap()).unwrap();
    assert_eq!(talk.scenario.cause, Cause::OrdinaryTraffic);
    assert_eq!(talk.scenario.duration_s, 25.0);
    assert_eq!(talk.scenario.recorder.rate_hz, 8000);
    assert_eq!(talk.scenario.family, "talk@line-b");
    assert_eq!(talk.also, [Label::Inconclusive]);
    let cycling = corpus
        .draw(&Cell::parse("cycling@line-a:1").unwrap())
        .unwrap();
    assert!((20.0..=40.0).contains(&cycling.scenario.duration_s));
    assert_eq!(cycling, corpus.draw(&cycling.cell).unwrap());
}

#[test]
fn what_is_fitted_on_is_never_held_out() {
    for split in [
        SPLIT.replace("talk = 1", "cycling = 1"),
        SPLIT.replace("'line-b'", "'line-a'"),
    ] {
        let error = Corpus::from_files(&files(&split, ""))
            .unwrap_err()
            .to_string();
        assert!(error.contains("in both parts"), "{error}");
    }
}

#[test]
fn a_recording_is_judged_without_its_chain_or_without_its_scene() {
    let folds = |text: &str| SPLIT.replacen("chains", &format!("folds = {text}\nchains"), 1);
    let corpus = Corpus::from_files(&files(&folds("[['line-a'], ['cycling']]"), "")).unwrap();
    let cells = corpus.cells(Part::Fit);
    let of: Vec<_> = cells
        .iter()
        .map(|cell| corpus.plan(Part::Fit).fold_of(cell))
        .collect();
    assert_eq!(of, [Some(0), Some(1)]);
    assert_eq!(corpus.plan(Part::HeldOut).fold_of(&cells[0]), None);
    for wrong in ["[['line-a'], []]", "[['line-a'], ['cycling', 'line-a']]"] {
        let error = Corpus::from_files(&files(&folds(wrong), ""))
            .unwrap_err()
            .to_string();
        assert!(error.contains("in no fold or in several"), "{error}");
    }
}

#[test]
fn unknown_names_are_errors() {
    let fails = |split: &str, rulings: &str| Corpus::from_files(&files(split, rulings)).is_err();
    assert!(fails(&SPLIT.replace("talk", "tolk"), ""));
    assert!(fails(&SPLIT.replace("line-c", "line-d"), ""));
    assert!(fails(
        SPLIT,
        "[[ruling]]\nscene = 'x'\nalso = ['inconclusive']\nwhy = 'w'"
    ));
    assert!(fails(
        SPLIT,
        "[[ruling]]\nscene = 'talk'\nalso = ['maybe']\nwhy = 'w'"
    ));
    assert!(fails(
        SPLIT,
        "[[ruling]]\nscene = 'talk'\nalso = ['inconclusive']\nwhy = ''"
    ));
    let corpus = Corpus::from_files(&files(SPLIT, "")).unwrap();
    assert!(corpus.draw(&Cell::parse("talk@line-x:0").unwrap()).is_err());
}
