//! One line of JSON for each recording, for whoever works on the check.

use super::judging::Judged;
use crate::cause::verdict::{Cause, Label, Verdict};
use crate::error::{Error, Result};
use crate::proving::outcome::{Outcome, Standing};
use crate::proving::tally::EventTally;
use serde_json::{Map, Value, json};
use std::io::{BufWriter, Write};
use std::path::Path;

/// Writes the lines to `path`.
pub fn write(path: &Path, judged: &[Judged]) -> Result<()> {
    let failed = |error| Error::io(path.display().to_string(), error);
    let mut file = BufWriter::new(std::fs::File::create(path).map_err(failed)?);
    for one in judged {
        let text = serde_json::to_string(&line(one)).map_err(|error| failed(error.into()))?;
        writeln!(file, "{text}").map_err(failed)?;
    }
    file.flush().map_err(failed)
}

fn line(one: &Judged) -> Value {
    let check = match &one.heard {
        Ok(check) => json!({
            "timeline": check.timeline,
            "verdict": verdict(&check.verdict),
        }),
        Err(text) => json!({ "error": text }),
    };
    json!({
        "name": one.outcome.name,
        "audio": one.made.audio,
        "truth_file": one.made.truth_file,
        "encoding": one.outcome.encoding,
        "judged": judgement(&one.outcome),
        "check": check,
        "truth": one.made.truth,
    })
}

fn verdict(verdict: &Verdict) -> Value {
    let posterior: Map<String, Value> = Cause::ALL
        .into_iter()
        .zip(verdict.posterior)
        .map(|(cause, p)| (cause.as_str().to_string(), json!(p)))
        .collect();
    let evidence: Vec<Value> = verdict
        .evidence
        .iter()
        .map(|e| json!({ "kind": e.kind.as_str(), "value": e.value, "log10_odds": e.log10_odds }))
        .collect();
    json!({
        "label": verdict.label.as_str(),
        "probability": verdict.probability,
        "posterior": posterior,
        "evidence": evidence,
        "next_step": verdict.next_step,
        "notes": verdict.notes,
        "rekey": verdict.rekey,
        "episodes": verdict.episodes.iter().map(|e| json!({
            "start_s": e.start, "end_s": e.end, "label": e.label.as_str(), "drops": e.drops,
        })).collect::<Vec<_>>(),
    })
}

fn judgement(outcome: &Outcome) -> Value {
    json!({
        "standing": match outcome.standing() {
            Standing::Right => "right",
            Standing::NotWrong => "not_wrong",
            Standing::Wrong => "wrong",
        },
        "truth": outcome.cause,
        "said": outcome.label().map(Label::as_str),
        "not_wrong": outcome.not_wrong.iter().map(|label| label.as_str()).collect::<Vec<_>>(),
        "key_up": events(&outcome.key_up),
        "input_loss": events(&outcome.input_loss),
        "carrier_drop": events(&outcome.carrier_drop),
        "hang_truth_s": outcome.hang.truth,
        "hang_found_s": outcome.hang.found,
    })
}

fn events(tally: &EventTally) -> Value {
    let sizes_s: Vec<f64> = tally.errors.iter().map(|error| error.get()).collect();
    json!({
        "hits": tally.counts.hits,
        "missed": tally.counts.missed,
        "spurious": tally.counts.spurious,
        "errors_s": sizes_s,
    })
}
