//! When which back-off was set.

use crate::error::Result;
use crate::typed_table::TypedTable;
use crate::units::{Decibels, Instant};

/// From its start until the next step's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Start.
    pub start: Instant,
    /// Back-off; negative while the operator raises the level again.
    pub backoff: Decibels,
}

/// Reads a table with the columns `start_s,backoff_db`.
///
/// # Errors
/// A missing column, something that is no number, or steps out of order; with the line.
pub fn read(file: &str, text: &str) -> Result<Vec<Step>> {
    let table = TypedTable::read(file, text, &["start_s", "backoff_db"])?;
    let mut steps: Vec<Step> = Vec::new();
    for row in table.rows() {
        let start = Instant(row.number("start_s")?);
        let backoff = Decibels(row.number("backoff_db")?);
        if start.get() < 0.0 {
            return Err(row.complain(
                format!("start_s is {}", start.get()),
                "count seconds from the start of the recording",
            ));
        }
        if let Some(last) = steps.last().filter(|last| start.get() <= last.start.get()) {
            return Err(row.complain(
                format!(
                    "this step starts at {} s, not after {} s",
                    start.get(),
                    last.start.get()
                ),
                "put the steps in the order of time",
            ));
        }
        steps.push(Step { start, backoff });
    }
    if steps.is_empty() {
        return Err(table.complain(1, "there are no steps".into(), "add a row for every step"));
    }
    Ok(steps)
}

/// The step in force at a moment and its number.
#[must_use]
pub fn in_force(steps: &[Step], at: Instant) -> Option<(usize, Step)> {
    let after = steps.partition_point(|step| step.start.get() <= at.get());
    let index = after.checked_sub(1)?;
    Some((index, steps[index]))
}
