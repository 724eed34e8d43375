//! Stretches of a recording that each have their own story.

use super::beat;
use crate::long_list::Part;
use crate::timeline::types::{Drop, Timeline};
use crate::units::{Instant, Seconds};
use std::ops::Range;

/// One stretch: its drops and its span.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Positions in the timeline's drops.
    pub drops: Range<usize>,
    /// Begin.
    pub from: Instant,
    /// End.
    pub to: Instant,
    /// Something beats here.
    pub beating: bool,
}

/// Runs farther apart than this are episodes of their own, seconds.
const APART_S: f64 = 30.0;
/// A beat that fills at least this share of the drops is the whole story.
const WHOLE_SHARE: f64 = 0.75;

/// The stretches of a timeline in order of time; a single one where one story is told.
pub fn split(timeline: &Timeline) -> Vec<Stretch> {
    let drops = timeline.drops.all();
    let end = timeline.carrier.last().map_or(Instant(0.0), |c| c.end);
    let whole = Stretch {
        drops: 0..drops.len(),
        from: Instant(0.0),
        to: end + Seconds(1e-9),
        beating: false,
    };
    let runs = joined(drops, beat::runs(drops));
    let beating: usize = runs.iter().map(ExactSizeIterator::len).sum();
    if runs.is_empty() || beating as f64 >= WHOLE_SHARE * drops.len() as f64 && runs.len() == 1 {
        return vec![Stretch {
            beating: !runs.is_empty(),
            ..whole
        }];
    }
    let start_of = |i: usize| {
        drops
            .get(i)
            .map_or(whole.to, |d| d.on.map_or(d.drop, |on| d.drop - on))
    };
    let mut stretches = Vec::new();
    let (mut next, mut from) = (0, Instant(0.0));
    for run in runs {
        let start = start_of(run.start);
        if run.start > next {
            stretches.push(Stretch {
                drops: next..run.start,
                from,
                to: start,
                beating: false,
            });
        }
        let to = start_of(run.end);
        stretches.push(Stretch {
            drops: run.clone(),
            from: start,
            to,
            beating: true,
        });
        next = run.end;
        from = to;
    }
    if next < drops.len() {
        stretches.push(Stretch {
            drops: next..drops.len(),
            from,
            to: whole.to,
            beating: false,
        });
    }
    stretches
}

/// Runs close to each other are one episode: an intermittent fault misses trials.
fn joined(drops: Part<'_, Drop>, runs: Vec<Range<usize>>) -> Vec<Range<usize>> {
    let apart = |a: usize, b: usize| match (drops.get(a), drops.get(b)) {
        (Some(a), Some(b)) => (b.drop - a.drop).get(),
        _ => f64::INFINITY,
    };
    let mut out: Vec<Range<usize>> = Vec::new();
    for run in runs {
        match out.last_mut() {
            Some(last) if run.start - last.end <= 2 && apart(last.end - 1, run.start) < APART_S => {
                last.end = run.end;
            }
            _ => out.push(run),
        }
    }
    out
}
