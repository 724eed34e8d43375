//! How the live watch does: the fit part as streams, one a recording chain, and real recordings.

mod page;

use super::judging;
use super::making::Maker;
use crate::cause::verdict::Cause;
use crate::check::CheckOptions;
use crate::cli::batch::sounding;
use crate::cli::whole;
use crate::error::{Error, Result};
use crate::intake;
use crate::live::{Happening, Raised, Watcher};
use crate::proving::corpus::{Cell, Corpus, Part};
use crate::simulate::Truth;
use crate::simulate::truth::Tier;
use crate::units::{Instant, Seconds};
use std::path::{Path, PathBuf};

/// Silence between two recordings of a stream.
const PAUSE: Seconds = Seconds(45.0);

/// One recording in its stream.
#[derive(Debug, Clone)]
struct Played {
    scene: String,
    chain: String,
    truth: Option<Truth>,
    length: Seconds,
    alarms: Vec<Raised>,
    /// Where it began in the stream.
    start: Instant,
}

impl Played {
    fn cycles(&self) -> bool {
        (self.truth.as_ref()).is_some_and(|t| t.cause == Cause::SelfDesense)
    }

    /// The true third return, on the recording's clock.
    fn third_return(&self) -> Option<f64> {
        let drops = &self.truth.as_ref()?.drops;
        let back = drops.iter().filter(|d| d.came_back == Some(true));
        back.filter_map(|d| d.rekey_s).nth(2)
    }

    /// From the true third return to the first alarm.
    fn delay(&self) -> Option<f64> {
        let alarm = self.alarms.first()?;
        Some((alarm.at - self.start).get() - self.third_return()?)
    }
}

/// Plays everything and writes the page.
///
/// # Errors
/// A recording cannot be made or read, or the page not be written.
pub fn watch(
    corpus: &Corpus,
    cells: &[Cell],
    maker: &Maker,
    jobs: Option<usize>,
    (out, real): (&Path, &[PathBuf]),
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
    let text = page::page(
        (cells.len(), corpus.cells(Part::Fit).len()),
        &played.concat(),
        &others,
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

/// A stream in the making.
#[derive(Default)]
struct Stream {
    watcher: Option<Watcher>,
    played: Vec<Played>,
}

impl Stream {
    fn play(&mut self, path: &Path, name: &str, truth: Option<Truth>) -> Result<()> {
        let mut recording = intake::open(path)?;
        let rate = recording.rate();
        let fits = |w: &Watcher| w.sound().rate() == rate;
        if !self.watcher.as_ref().is_some_and(fits) {
            self.watcher = Some(Watcher::new(rate, CheckOptions::default()));
        }
        let Some(watcher) = &mut self.watcher else {
            return Ok(());
        };
        let start = watcher.now();
        let mut alarms = Vec::new();
        let mut note = |list: Vec<Happening>| {
            alarms.extend(list.into_iter().filter_map(|h| match h {
                Happening::Raised(raised) => Some(raised),
                _ => None,
            }));
        };
        while let Some(block) = recording.next_block()? {
            note(watcher.push(block.samples));
        }
        let length = watcher.now() - start;
        let zeros = vec![0.0; rate.hz() as usize];
        for _ in 0..PAUSE.get() as usize {
            note(watcher.push(&zeros));
        }
        let (scene, chain) = name.split_once('@').unwrap_or((name, ""));
        let chain = chain.split(':').next().unwrap_or("");
        self.played.push(Played {
            scene: scene.to_owned(),
            chain: chain.to_owned(),
            truth,
            length,
            alarms,
            start,
        });
        Ok(())
    }

    fn finish(self) -> Vec<Played> {
        self.played
    }
}
