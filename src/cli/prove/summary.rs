//! What the terminal is told.

use crate::cli::console::{Said, say};
use crate::proving::corpus::Cell;
use crate::proving::outcome::{Answer, Outcome, Standing};
use crate::proving::scores::{EventScore, Scores, Share};
use crate::simulate::truth::Tier;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Names, one a line.
pub fn list(cells: &[Cell]) -> Said {
    say_text(
        &cells
            .iter()
            .map(|cell| format!("{cell}\n"))
            .collect::<String>(),
    )
}

/// Paths, one a line.
pub fn print_files(files: &[PathBuf]) -> Said {
    say_text(
        &files
            .iter()
            .map(|file| format!("{}\n", file.display()))
            .collect::<String>(),
    )
}

/// A line for each wrong answer, then one for each tier.
pub fn print(outcomes: &[Outcome]) -> Said {
    let mut text = String::new();
    for outcome in outcomes.iter().filter(|o| o.standing() == Standing::Wrong) {
        text += &wrong_line(outcome);
    }
    let mut tiers: BTreeMap<Tier, Vec<&Outcome>> = BTreeMap::new();
    for outcome in outcomes {
        tiers.entry(outcome.tier).or_default().push(outcome);
    }
    text += HEADS;
    for (tier, group) in &tiers {
        text += &score_line(&format!("{tier:?}").to_lowercase(), &Scores::of(group));
    }
    text += &score_line("all", &Scores::of(&outcomes.iter().collect::<Vec<_>>()));
    say(text.as_bytes())
}

const HEADS: &str = "tier   count  right       desense     alarms      macro-F1  key-up F1, ms  \
                     drop F1, ms    hang ms  Brier  ECE\n";

fn wrong_line(outcome: &Outcome) -> String {
    let (said, p) = match &outcome.answer {
        Answer::Said {
            label,
            p_self_desense,
        } => (label.as_str().to_string(), format!("{p_self_desense:.3}")),
        Answer::Failed(text) => (text.clone(), "-".into()),
    };
    let name = &outcome.name;
    format!(
        "wrong  {name}: {} called {said}, P(desense) {p}\n",
        outcome.cause.as_str()
    )
}

fn score_line(name: &str, scores: &Scores) -> String {
    let share = |s: Option<Share>| s.map_or("-".into(), |s| format!("{}/{}", s.part, s.whole));
    let plain = |x: Option<f64>| x.map_or("-".into(), |x| format!("{x:.3}"));
    let event = |e: &EventScore| {
        let ms = e
            .error
            .map_or("-".into(), |error| format!("{:.1}", error.median_s * 1e3));
        format!("{} {ms}", plain(e.f1.map(|f1| f1.value)))
    };
    let hang_ms = scores
        .hang
        .error
        .map_or("-".into(), |e| format!("{:.1}", e.median_s * 1e3));
    let forecast = scores.forecast.as_ref();
    format!(
        "{name:<6} {:>5}  {:<10}  {:<10}  {:<10}  {:<8}  {:<13}  {:<13}  {hang_ms:<7}  {:<5}  {}\n",
        scores.recordings,
        share(scores.right),
        share(scores.recall),
        share(scores.false_alarms),
        plain(scores.macro_f1.map(|f1| f1.value)),
        event(&scores.key_up),
        event(&scores.carrier_drop),
        plain(forecast.map(|f| f.brier.value)),
        plain(forecast.map(|f| f.calibration_error.value)),
    )
}

fn say_text(text: &str) -> Said {
    say(text.as_bytes())
}
