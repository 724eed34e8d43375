//! Trials typed by hand.

use super::trials::{Trial, Trials};
use crate::error::Result;
use crate::typed_table::{TypedRow, TypedTable};
use crate::units::Decibels;

/// Most trials that one row may stand for; beyond it a typing error is likelier.
const MOST_TRIALS_A_ROW: f64 = 1000.0;

/// Reads a table of trials: `backoff_db,came_back`, one trial a row with yes or no; or with a
/// column `trials` as well, in which case `came_back` counts.
///
/// # Errors
/// A missing column, an outcome that is neither yes nor no, a count that cannot be, a negative
/// back-off; with the line.
pub fn read(file: &str, text: &str) -> Result<Trials> {
    let table = TypedTable::read(file, text, &["backoff_db", "came_back"])?;
    let counted = table.has("trials");
    let mut trials = Vec::new();
    for row in table.rows() {
        let backoff = Decibels(row.number("backoff_db")?);
        if backoff.get() < 0.0 {
            return Err(row.complain(
                format!("backoff_db is {}", backoff.get()),
                "count down from the level at which the signal just drops, which is 0",
            ));
        }
        let (came_back, stayed) = if counted {
            counts(&row)?
        } else {
            outcome(&row)?
        };
        let trial = |came_back| Trial {
            backoff,
            drop: None,
            came_back,
            gap: None,
            confidence: None,
        };
        trials.extend((0..came_back).map(|_| trial(true)));
        trials.extend((0..stayed).map(|_| trial(false)));
    }
    if trials.is_empty() {
        return Err(table.complain(1, "there are no trials".into(), "add a row for every trial"));
    }
    Ok(Trials {
        trials,
        excluded: Vec::new(),
    })
}

fn outcome(row: &TypedRow<'_>) -> Result<(u32, u32)> {
    match row.text("came_back").unwrap_or("").to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" => Ok((1, 0)),
        "no" | "n" | "false" | "0" => Ok((0, 1)),
        other => {
            let what = format!("came_back is \"{other}\"");
            Err(row.complain(
                what,
                "write yes or no, or add a column trials and give counts",
            ))
        }
    }
}

fn counts(row: &TypedRow<'_>) -> Result<(u32, u32)> {
    let (trials, came_back) = (row.number("trials")?, row.number("came_back")?);
    let whole = |n: f64| n.fract() == 0.0 && (0.0..=MOST_TRIALS_A_ROW).contains(&n);
    if !whole(trials) || !whole(came_back) || came_back > trials || trials == 0.0 {
        return Err(row.complain(
            format!("came_back {came_back} of trials {trials} cannot be"),
            "give whole numbers, trials from 1 to 1000, and came_back no more than trials",
        ));
    }
    Ok((came_back as u32, (trials - came_back) as u32))
}
