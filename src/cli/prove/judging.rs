//! Makes and checks the recordings, several at once.

use super::making::{MadeFiles, Maker};
use crate::check::Check;
use crate::error::{Error, Result};
use crate::proving::corpus::{Cell, Corpus, Drawn};
use crate::proving::outcome::Outcome;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use rayon::prelude::*;
use std::io::IsTerminal;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

/// One recording with everything that is known of it.
pub struct Judged {
    /// Where it comes from.
    pub drawn: Drawn,
    /// Files and truth.
    pub made: MadeFiles,
    /// What the check heard, or its error's text.
    pub heard: Result<Box<Check>, String>,
    /// How it was judged.
    pub outcome: Outcome,
}

/// Judges `cells` in their order, `jobs` at once (all cores by default), by `check`.
pub fn judge_all(
    corpus: &Corpus,
    cells: &[Cell],
    maker: &Maker,
    jobs: Option<usize>,
    check: &(dyn Fn(&Path) -> Result<Check> + Sync),
) -> Result<Vec<Judged>> {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(jobs.unwrap_or(0))
        .build()
        .map_err(|error| Error::BadSetting {
            place: "--jobs".into(),
            what: error.to_string(),
            remedy: "give a smaller number".into(),
        })?;
    let bar = bar(cells.len());
    let judged = pool.install(|| {
        cells
            .par_iter()
            .map(|cell| {
                let judged = judge_one(corpus, cell, maker, check);
                bar.inc(1);
                judged
            })
            .collect()
    });
    bar.finish_and_clear();
    judged
}

fn judge_one(
    corpus: &Corpus,
    cell: &Cell,
    maker: &Maker,
    check: &(dyn Fn(&Path) -> Result<Check> + Sync),
) -> Result<Judged> {
    let drawn = corpus.draw(cell)?;
    let made = maker.make(&drawn)?;
    let heard = hear(&made.audio, check);
    let seen = match &heard {
        Ok(check) => Ok((&check.timeline, &check.verdict)),
        Err(text) => Err(text.clone()),
    };
    let outcome = Outcome::judge(&drawn, &made.truth, seen);
    Ok(Judged {
        drawn,
        made,
        heard,
        outcome,
    })
}

/// A check that panics has given no answer; the others go on.
fn hear(
    audio: &Path,
    check: &(dyn Fn(&Path) -> Result<Check> + Sync),
) -> Result<Box<Check>, String> {
    match catch_unwind(AssertUnwindSafe(|| check(audio))) {
        Ok(Ok(check)) => Ok(Box::new(check)),
        Ok(Err(error)) => Err(error.to_string()),
        Err(_) => Err("the check panicked".into()),
    }
}

fn bar(length: usize) -> ProgressBar {
    let target = if std::io::stderr().is_terminal() {
        ProgressDrawTarget::stderr()
    } else {
        ProgressDrawTarget::hidden()
    };
    let bar = ProgressBar::with_draw_target(Some(length as u64), target);
    if let Ok(style) = ProgressStyle::with_template("{pos} of {len} {wide_bar} {eta} left") {
        bar.set_style(style);
    }
    bar
}
