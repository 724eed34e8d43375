//! Fits the causes' tables and the worth of the network's sureness on what of the fit part the
//! network was not fitted on, and judges each kind of listening and recording by
//! tables that were fitted without it.

use super::judging::Judged;
use super::making::io;
use crate::cause::measures::Measures;
use crate::cause::tables::{self, Tables};
use crate::cause::verdict::Cause;
use crate::cause::{judge_by, whole};
use crate::error::{Error, Result};
use crate::proving::outcome::Outcome;
use crate::proving::tally::EventTally;
use crate::statistics::dose_response::{DoseGroup, Link, fit_ml};
use crate::timeline::sureness::{Curve, Sureness};
use crate::units::Seconds;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The tables' file, which the next build takes in.
const TABLES_FILE: &str = "src/tuning/cause_tables.json";

/// The curves' file, beside it.
const SURENESS_FILE: &str = "src/tuning/event_sureness.json";

/// The measures' file within the corpus folder: what the tables rest on.
const MEASURES_FILE: &str = "fit-measures.json";

/// Measures with a cause, for fitting.
type Case = (Cause, Measures);

/// Of every recording that was heard, those too that tell too little to name their cause: by these the tables
/// learn how little that is.
fn case(one: &Judged) -> Option<Case> {
    let check = one.heard.as_deref().ok()?;
    let hang = one.made.truth.hang_time_s.map(Seconds);
    Some((one.made.truth.cause, rounded(whole(&check.timeline, hang))))
}

/// Five decimals, as the file keeps them, so that the file gives the same tables.
fn rounded(measures: Measures) -> Measures {
    measures.map(|value| value.map(|x| (x * 1e5).round() / 1e5))
}

/// Writes measures, tables and curves; gives their paths.
pub fn refit(judged: &[Judged], corpus: &Path) -> Result<[PathBuf; 3]> {
    let (names, cases): (Vec<&str>, Vec<Case>) = judged
        .iter()
        .filter_map(|one| Some((one.outcome.name.as_str(), case(one)?)))
        .unzip();
    let lines = names
        .iter()
        .zip(&cases)
        .map(|(name, (cause, measures))| serde_json::to_string(&(name, cause, measures.as_slice())))
        .collect::<serde_json::Result<Vec<_>>>()
        .map_err(unwritable)?;
    let tables = serde_json::to_string(&tables::fit(&cases)).map_err(unwritable)?;
    let sureness = serde_json::to_string(&sureness(judged)?).map_err(unwritable)?;
    let paths = [
        corpus.join(MEASURES_FILE),
        PathBuf::from(TABLES_FILE),
        PathBuf::from(SURENESS_FILE),
    ];
    let texts = [
        format!("[\n{}\n]\n", lines.join(",\n")),
        tables,
        sureness + "\n",
    ];
    for (path, text) in paths.iter().zip(texts) {
        std::fs::write(path, text).map_err(|error| io(path, error))?;
    }
    Ok(paths)
}

/// Curves fitted on every found event.
fn sureness(judged: &[Judged]) -> Result<Sureness> {
    let shipped = Sureness::shipped();
    let curve = |was: Curve, pick: fn(&Outcome) -> &EventTally| {
        let groups: Vec<DoseGroup> = judged
            .iter()
            .flat_map(|one| &pick(&one.outcome).forecasts)
            .map(|f| DoseGroup {
                dose: was.undone(f.stated),
                trials: 1,
                responses: f.happened.into(),
            })
            .collect();
        let fit = fit_ml(&groups, Link::Logit).map_err(|why| Error::BadSetting {
            place: "events' sureness".into(),
            what: format!("no curve fits ({why:?})"),
            remedy: "judge the whole part".into(),
        })?;
        Ok(Curve {
            intercept: fit.intercept,
            slope: fit.slope,
        })
    };
    Ok(Sureness {
        key_up: curve(shipped.key_up, |o| &o.key_up)?,
        input_loss: curve(shipped.input_loss, |o| &o.input_loss)?,
        carrier_drop: curve(shipped.carrier_drop, |o| &o.carrier_drop)?,
    })
}

fn unwritable(error: serde_json::Error) -> Error {
    Error::BadSetting {
        place: "fitted tables".into(),
        what: error.to_string(),
        remedy: "report this as a fault".into(),
    }
}

/// Judges each of the first `own` recordings by tables fitted on the others of all chains but its
/// own.
pub fn left_out(judged: &[Judged], own: usize) -> Vec<Outcome> {
    let shown = &judged[..own];
    let chains: BTreeSet<&str> = shown.iter().map(|one| one.outcome.chain.as_str()).collect();
    let mut outcomes = Vec::with_capacity(own);
    for chain in chains {
        let others = judged.iter().filter(|one| one.outcome.chain != chain);
        let tables = tables::fit(&others.filter_map(case).collect::<Vec<_>>());
        let own = shown.iter().filter(|one| one.outcome.chain == chain);
        outcomes.extend(own.map(|one| judge_again(one, &tables)));
    }
    outcomes
}

fn judge_again(one: &Judged, tables: &Tables) -> Outcome {
    match &one.heard {
        Ok(check) => {
            let verdict = judge_by(tables, &check.timeline, None);
            Outcome::judge(&one.drawn, &one.made.truth, Ok((&check.timeline, &verdict)))
        }
        Err(text) => Outcome::judge(&one.drawn, &one.made.truth, Err(text.clone())),
    }
}
