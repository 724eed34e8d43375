//! How the live watch does: the fit part as streams, one a recording chain, and real recordings.

mod ordinary;
mod page;
mod stream;

use super::judging;
use super::making::Maker;
use crate::cli::batch::sounding;
use crate::cli::whole;
use crate::error::{Error, Result};
use crate::proving::corpus::{Cell, Corpus, Part};
use crate::simulate::truth::Tier;
use crate::units::Seconds;
use std::path::{Path, PathBuf};
use stream::{Played, Stream};

/// The tier of voice-activated recorders, as chains write it.
const CUT: &str = "cut";

/// Plays everything and writes the page.
///
/// # Errors
/// A recording cannot be made or read, or the page not be written.
pub fn watch(
    corpus: &Corpus,
    cells: &[Cell],
    maker: &Maker,
    jobs: Option<usize>,
    (out, real, ordinary_hours): (&Path, &[PathBuf], Option<f64>),
) -> Result<Vec<PathBuf>> {
    let mut chains: Vec<&str> = cells.iter().map(|c| c.chain.as_str()).collect();
    chains.sort_unstable();
    chains.dedup();
    // A stream's first cell stands for all of it.
    let heads: Vec<Cell> = (chains.iter())
        .filter_map(|chain| cells.iter().find(|c| c.chain == *chain).cloned())
        .collect();
    let played = judging::each(&heads, jobs, |head| {
        let of_chain = cells.iter().filter(|c| c.chain == head.chain);
        let mut stream = Stream::default();
        for cell in of_chain {
            let made = maker.make(&corpus.draw(cell)?)?;
            if made.truth.tier != Tier::Cut {
                stream.play(&made.audio, &cell.to_string(), Some(made.truth))?;
            }
        }
        Ok(stream.finish())
    })?;
    let mut others = Vec::new();
    for folder in real {
        others.extend(real_ones(folder)?);
    }
    let ordinary = (ordinary_hours)
        .map(|hours| {
            // A recorder that cuts makes no stream.
            let whole = |cell: &&Cell| corpus.tier(cell) != Some(CUT);
            let heads: Vec<Cell> = heads.iter().filter(whole).cloned().collect();
            ordinary::hear(corpus, &heads, maker, jobs, Seconds(hours * 3_600.0))
        })
        .transpose()?;
    let text = page::page(
        (cells.len(), corpus.cells(Part::Fit).len()),
        &played.concat(),
        &others,
        ordinary.as_ref(),
    );
    whole::write(out, text.as_bytes())?;
    Ok(vec![out.to_owned()])
}

/// Every recording below a folder as a stream of its own; what cannot be read is left out.
fn real_ones(folder: &Path) -> Result<Vec<Played>> {
    let mut files = Vec::new();
    walk(folder, &mut files).map_err(|f| Error::io(folder.display().to_string(), f))?;
    files.sort();
    let mut played = Vec::new();
    for file in files {
        let mut stream = Stream::default();
        if stream.play(&file, "", None).is_ok() {
            played.extend(stream.finish());
        }
    }
    Ok(played)
}

fn walk(folder: &Path, files: &mut Vec<PathBuf>) -> std::io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            walk(&path, files)?;
        } else if sounding(&path.to_string_lossy()) {
            files.push(path);
        }
    }
    Ok(())
}
