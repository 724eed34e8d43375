//! The last minutes as cells of a lane: loudness, carrier, drops that came back.

use crate::check::Check;
use crate::units::{Instant, Seconds};

/// One cell.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Moment {
    /// Highest level, dBFS; `None` where nothing is known.
    pub level_db: Option<f32>,
    /// Share of the cell with the carrier on.
    pub carrier: f64,
    /// A drop that came straight back lies in it.
    pub came_back: bool,
    /// Another drop lies in it.
    pub dropped: bool,
}

/// Cells in order of time, the last one ending now.
#[derive(Debug, Clone, PartialEq)]
pub struct Lane {
    /// Time of the first cell's begin.
    pub start: Instant,
    /// Length of a cell.
    pub cell: Seconds,
    /// The cells.
    pub moments: Vec<Moment>,
}

/// Draws a look, whose first sample came at `start`, into so many cells up to `now`.
#[must_use]
pub fn lane(start: Instant, check: &Check, now: Instant, cell: Seconds, cells: usize) -> Lane {
    let first = now + -(cell * cells as f64);
    let shift = start - Instant(0.0);
    let mut moments = vec![Moment::default(); cells];
    let place = |t: Instant| {
        let n = ((t + shift) - first).get() / cell.get();
        (n >= 0.0 && n < cells as f64).then_some(n as usize)
    };
    for (n, column) in check.strip.columns.iter().enumerate() {
        let at = Instant(check.strip.column.get() * (n as f64 + 0.5));
        if let Some(moment) = place(at).and_then(|n| moments.get_mut(n)) {
            let loudest = moment
                .level_db
                .map_or(column.max_db, |l| l.max(column.max_db));
            moment.level_db = Some(loudest);
        }
    }
    for (n, moment) in moments.iter_mut().enumerate() {
        let from = first + cell * n as f64;
        let to = from + cell;
        let on: f64 = (check.timeline.carrier.iter())
            .map(|c| {
                let (a, b) = (c.start + shift, c.end + shift);
                (b.get().min(to.get()) - a.get().max(from.get())).max(0.0)
            })
            .sum();
        moment.carrier = (on / cell.get()).clamp(0.0, 1.0);
    }
    for drop in &check.timeline.drops {
        if let Some(moment) = place(drop.drop).and_then(|n| moments.get_mut(n)) {
            if drop.came_back == Some(true) {
                moment.came_back = true;
            } else {
                moment.dropped = true;
            }
        }
    }
    Lane {
        start: first,
        cell,
        moments,
    }
}
