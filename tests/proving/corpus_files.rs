//! The corpus folder itself.

use std::collections::BTreeSet;
use tailbeat::cause::verdict::Cause;
use tailbeat::proving::corpus::{Corpus, Part};

/// Files of `corpus/` as the corpus wants them: path within the folder and text.
pub fn corpus_files() -> Vec<(String, String)> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus");
    let mut files = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "toml") {
                let name = path
                    .strip_prefix(&root)
                    .unwrap()
                    .to_str()
                    .unwrap()
                    .replace('\\', "/");
                files.push((name, std::fs::read_to_string(&path).unwrap()));
            }
        }
    }
    files.sort();
    files
}

#[test]
fn every_recording_of_the_corpus_can_be_drawn() {
    let corpus = Corpus::from_files(&corpus_files()).unwrap();
    for part in [Part::Fit, Part::HeldOut] {
        for cell in corpus.cells(part) {
            let drawn = corpus
                .draw(&cell)
                .unwrap_or_else(|error| panic!("{cell}: {error}"));
            assert!(
                !drawn.scenario.about.is_empty(),
                "{cell} does not say what it is"
            );
            let length_s = drawn.scenario.duration_s;
            assert!(
                (10.0..=240.0).contains(&length_s),
                "{cell} lasts {length_s} s"
            );
        }
    }
}

#[test]
fn both_parts_are_large_and_hold_every_cause_in_every_tier() {
    let corpus = Corpus::from_files(&corpus_files()).unwrap();
    for part in [Part::Fit, Part::HeldOut] {
        let cells = corpus.cells(part);
        assert!(
            cells.len() >= 600,
            "{} has only {}",
            part.as_str(),
            cells.len()
        );
        let mut kinds = BTreeSet::new();
        for cell in cells.iter().filter(|cell| cell.index == 0) {
            let scenario = corpus.draw(cell).unwrap().scenario;
            kinds.insert((scenario.tier, scenario.cause));
        }
        assert_eq!(
            kinds.len(),
            6 * 10,
            "{} lacks a cause in a tier: {kinds:?}",
            part.as_str()
        );
    }
    assert_eq!(corpus.cells(Part::Quick).len(), 60);
}

/// A file that no part names would be dead weight.
#[test]
fn every_scene_and_chain_has_its_part() {
    let corpus = Corpus::from_files(&corpus_files()).unwrap();
    let plans = [corpus.plan(Part::Fit), corpus.plan(Part::HeldOut)];
    for scene in corpus.scenes() {
        assert!(
            plans.iter().any(|plan| plan.scenes.contains_key(scene)),
            "{scene}"
        );
    }
    for chain in corpus.chains() {
        assert!(
            plans
                .iter()
                .any(|plan| plan.chains.iter().any(|name| name == chain)),
            "{chain}"
        );
    }
}

#[test]
fn what_is_fitted_without_a_fold_knows_every_cause_and_every_tier_by_others() {
    let corpus = Corpus::from_files(&corpus_files()).unwrap();
    let plan = corpus.plan(Part::Fit);
    assert!(plan.folds.len() > 1);
    for fold in &plan.folds {
        let mut left = corpus.cells(Part::Fit);
        left.retain(|cell| !fold.contains(&cell.scene) && !fold.contains(&cell.chain));
        let causes: BTreeSet<_> = left
            .iter()
            .map(|cell| corpus.cause_of(&cell.scene))
            .collect();
        let tiers: BTreeSet<_> = left.iter().map(|cell| corpus.tier(cell)).collect();
        assert_eq!(
            (causes.len(), tiers.len()),
            (Cause::ALL.len(), 6),
            "{fold:?}"
        );
    }
}
