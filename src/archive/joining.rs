//! Which of a logger's rotated files follow each other without a break, so that they can be heard
//! as one recording and no episode is lost at a border.

use super::when::When;
use crate::tuning::archive::{JOIN_BREAK, JOIN_SPAN};
use crate::units::{SampleRate, Seconds};

/// One file as its name and header tell it.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Where it comes from: its folder, and what else must be the same for all of a run.
    pub stream: String,
    /// When it began.
    pub start: Option<When>,
    /// How long it is.
    pub length: Option<Seconds>,
    /// Samples a second.
    pub rate: SampleRate,
    /// Channels.
    pub channels: usize,
}

/// Runs of files that follow each other, as positions in `pieces`, each run in the order of time,
/// the runs in the order of streams and time. What tells no start or no length stands alone.
#[must_use]
pub fn runs(pieces: &[Piece]) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    let civil = |n: &usize| pieces[*n].start.map(|s| s.civil);
    order.sort_by(|a, b| {
        (&pieces[*a].stream, civil(a), *a).cmp(&(&pieces[*b].stream, civil(b), *b))
    });
    let mut runs: Vec<Vec<usize>> = Vec::new();
    for n in order {
        match runs.last_mut() {
            Some(run) if follows(pieces, run, n) => run.push(n),
            _ => runs.push(vec![n]),
        }
    }
    runs
}

/// Whether a file goes on where a run ends.
fn follows(pieces: &[Piece], run: &[usize], next: usize) -> bool {
    let (Some(first), Some(last)) = (run.first(), run.last()) else {
        return false;
    };
    let (first, last, next) = (&pieces[*first], &pieces[*last], &pieces[next]);
    if last.stream != next.stream || last.rate != next.rate || last.channels != next.channels {
        return false;
    }
    let (Some(start), Some(length), Some(begun)) = (last.start, last.length, first.start) else {
        return false;
    };
    let Some(next_start) = next.start else {
        return false;
    };
    let (Some(step), Some(span)) = (next_start.since(start), next_start.since(begun)) else {
        return false;
    };
    let pause = step - length;
    let whole = span + next.length.unwrap_or(Seconds(0.0));
    pause.get().abs() <= JOIN_BREAK.get() && whole.get() <= JOIN_SPAN.get()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(stream: &str, start: &str, length: f64) -> Piece {
        Piece {
            stream: stream.into(),
            start: When::parse(start),
            length: Some(Seconds(length)),
            rate: SampleRate::new(8_000).unwrap(),
            channels: 1,
        }
    }

    #[test]
    fn files_that_follow_each_other_are_one_run_whatever_their_order() {
        let pieces = [
            piece("hill", "2026-03-01T01:00:00", 3_600.0),
            piece("hill", "2026-03-01T00:00:00", 3_600.0),
            piece("coast", "2026-03-01T02:00:00", 3_600.0),
            piece("hill", "2026-03-01T02:00:01", 3_600.0),
            piece("hill", "2026-03-01T05:00:00", 3_600.0),
        ];
        assert_eq!(runs(&pieces), [vec![2], vec![1, 0, 3], vec![4]]);
    }

    #[test]
    fn a_run_passes_midnight_and_ends_after_a_day() {
        let pieces: Vec<Piece> = (0..40)
            .map(|n| {
                let start = When::parse("2026-03-01T12:00:00").unwrap();
                let start = start.later(Seconds(3_600.0 * f64::from(n))).unwrap();
                piece("hill", &start.civil.to_string(), 3_600.0)
            })
            .collect();
        let lengths: Vec<usize> = runs(&pieces).iter().map(Vec::len).collect();
        assert_eq!(lengths, [24, 16]);
    }

    #[test]
    fn what_differs_or_does_not_tell_stands_alone() {
        let mut other = piece("hill", "2026-03-01T01:00:00", 3_600.0);
        other.rate = SampleRate::new(16_000).unwrap();
        let mut untold = piece("hill", "2026-03-01T01:00:00", 3_600.0);
        untold.start = None;
        let first = piece("hill", "2026-03-01T00:00:00", 3_600.0);
        assert_eq!(runs(&[first.clone(), other]).len(), 2);
        assert_eq!(runs(&[first, untold.clone(), untold]).len(), 3);
    }
}
