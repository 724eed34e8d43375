//! Which recordings of a part are wanted.

use super::ProveArgs;
use crate::error::{Error, Result};
use crate::proving::corpus::{Cell, Corpus, Part};
use crate::proving::outcome::{Outcome, Standing};
use clap::ValueEnum;
use std::collections::BTreeSet;
use std::ops::Range;
use std::path::{Path, PathBuf};

/// The cells of `part` that the arguments leave.
pub fn select(corpus: &Corpus, args: &ProveArgs, part: Part) -> Result<Vec<Cell>> {
    let mut cells = corpus.cells(part);
    if !args.family.is_empty() {
        cells.retain(|cell| {
            args.family
                .iter()
                .any(|text| cell.family().contains(text.as_str()))
        });
    }
    if !args.tier.is_empty() {
        let wanted: Vec<String> = args
            .tier
            .iter()
            .filter_map(|tier| tier.to_possible_value())
            .map(|value| value.get_name().to_string())
            .collect();
        cells.retain(|cell| {
            corpus
                .tier(cell)
                .is_some_and(|tier| wanted.iter().any(|w| w == tier))
        });
    }
    if args.only_failures {
        let failures = recall_failures(&args.cache, part)?;
        cells.retain(|cell| failures.contains(&cell.to_string()));
    }
    if let Some(limit) = args.limit.filter(|limit| *limit < cells.len()) {
        cells = spread(&cells, limit);
    }
    if cells.is_empty() {
        return Err(Error::BadSetting {
            place: "prove".into(),
            what: "no recording of the corpus is left".into(),
            remedy: "loosen --tier, --family or --only-failures; --list prints the names".into(),
        });
    }
    Ok(cells)
}

/// Drawings of the same scenes over the same chains beyond those that the split counts, in `rounds` of
/// that number each, mixed, so that the first of them are as good a sample as all. Pairs that
/// are spared get none unless all of `cells` are: the network is not to be fitted on these.
pub fn further(corpus: &Corpus, cells: &[Cell], rounds: Range<u32>) -> Vec<Cell> {
    let scenes = &corpus.plan(Part::Fit).scenes;
    let spared = cells.iter().all(Cell::spared);
    let mut further: Vec<Cell> = rounds
        .flat_map(|round| {
            let drawn = cells.iter().filter(|cell| cell.spared() == spared);
            drawn.map(move |cell| {
                let count = scenes.get(&cell.scene).copied().unwrap_or(1);
                Cell {
                    index: cell.index + round * count,
                    ..cell.clone()
                }
            })
        })
        .collect();
    further.sort_by_key(Cell::seed);
    further
}

/// `count` cells at even distances.
fn spread(cells: &[Cell], count: usize) -> Vec<Cell> {
    (0..count)
        .map(|i| cells[i * cells.len() / count].clone())
        .collect()
}

fn failure_list(cache: &Path, part: Part) -> PathBuf {
    cache.join(format!("wrong-{}.txt", part.as_str()))
}

/// Keeps the names of the wrong ones for `--only-failures`.
pub fn remember_failures(cache: &Path, part: Part, outcomes: &[Outcome]) -> Result<()> {
    let path = failure_list(cache, part);
    let wrong = outcomes.iter().filter(|o| o.standing() == Standing::Wrong);
    let text: String = wrong.map(|o| format!("{}\n", o.name)).collect();
    std::fs::write(&path, text).map_err(|error| Error::io(path.display().to_string(), error))
}

fn recall_failures(cache: &Path, part: Part) -> Result<BTreeSet<String>> {
    let path = failure_list(cache, part);
    let text = std::fs::read_to_string(&path)
        .map_err(|error| Error::io(path.display().to_string(), error))?;
    Ok(text.lines().map(str::to_string).collect())
}
