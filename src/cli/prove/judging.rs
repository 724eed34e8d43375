//! Makes and checks the recordings, several at once.

use super::making::{MadeFiles, Maker};
use crate::check::Check;
use crate::cli::console::complain;
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

/// Few further drawings leave nothing to hear, over a voice-activated recorder say.
pub fn or_left_out<T>(cell: &Cell, made: Result<T>) -> Option<T> {
    made.map_err(|fault| complain(&format!("{cell} is left out: {fault}")))
        .ok()
}

/// Does something with each cell, `jobs` at once (all cores by default); results in the order of
/// the cells.
pub fn each<T: Send>(
    cells: &[Cell],
    jobs: Option<usize>,
    work: impl Fn(&Cell) -> Result<T> + Sync,
) -> Result<Vec<T>> {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(jobs.unwrap_or(0))
        .build()
        .map_err(|error| Error::BadSetting {
            place: "--jobs".into(),
            what: error.to_string(),
            remedy: "give a smaller number".into(),
        })?;
    let bar = bar(cells.len());
    let done = pool.install(|| {
        cells
            .par_iter()
            .map(|cell| {
                let result = work(cell);
                bar.inc(1);
                result
            })
            .collect()
    });
    bar.finish_and_clear();
    done
}

/// Makes a recording and judges it by `check`.
pub fn judge(
    corpus: &Corpus,
    cell: &Cell,
    maker: &Maker,
    check: &(dyn Fn(&Path) -> Result<Check> + Sync),
) -> Result<Judged> {
    let drawn = corpus.draw(cell)?;
    let made = maker.make(&drawn)?;
    // The page is the same wherever the renderings are kept: it names recordings, not files.
    let place = made.audio.display().to_string();
    let heard = hear(&made.audio, check).map_err(|text| text.replace(&place, &cell.to_string()));
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
