//! Segments of the whole recording to transmissions with what happened inside.

use super::refine::Edge;
use super::roles::Role;
use super::segments::{Segment, SegmentSound};
use super::types::ListeningMode;
use crate::tuning::timeline as tuning;
use crate::units::Seconds;
use std::ops::Range;

/// One loss of the repeater's input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loss {
    /// When.
    pub edge: Edge,
    /// Marked by the repeater's squelch tail, of this length; `None` where only the modulation
    /// ended.
    pub burst: Option<Seconds>,
    /// Noise under the user just before, dB relative to unquieted noise.
    pub noise_db: Option<f32>,
}

/// One transmission.
#[derive(Debug, Clone, PartialEq)]
pub struct Over {
    /// Begin.
    pub start: Edge,
    /// End: the carrier's drop.
    pub end: Edge,
    /// Begin heard.
    pub start_known: bool,
    /// End heard.
    pub end_known: bool,
    /// Its segments.
    pub segments: Range<usize>,
    /// Losses of the input, in order.
    pub losses: Vec<Loss>,
    /// Listener's burst after the drop.
    pub listener_burst: Option<Seconds>,
    /// Kind of listening.
    pub mode: ListeningMode,
    /// The no-carrier stretch after it was heard as such.
    pub gap_heard: bool,
}

/// What stands at a place among the segments.
pub enum Found {
    /// No transmission begins here.
    Nothing,
    /// One, and the segment after it.
    Over(Over, usize),
    /// One whose end, or what follows it, is not known yet.
    Open,
}

/// Looks for a transmission that begins with the segment `first`. `begun`: others were before these
/// segments. `all`: none will follow them.
pub fn at(segments: &[Segment], first: usize, begun: bool, all: bool) -> Found {
    if !segments[first].role.carrier() {
        return Found::Nothing;
    }
    let Some(at) = end_of_over(segments, first, all) else {
        return Found::Open;
    };
    let listener_burst = segments
        .get(at)
        .filter(|s| s.role == Role::ListenerBurst)
        .map(Segment::length);
    // A squelch tail that ends in the next transmission fills the whole gap.
    let gap_heard = segments[at..].first().is_some_and(|s| match s.role {
        Role::Off => true,
        Role::ListenerBurst => {
            s.mode != ListeningMode::NoGaps
                || segments.get(at + 1).is_some_and(|n| n.role == Role::Off)
        }
        _ => false,
    });
    let over = Over {
        start: segments[first].start,
        end: segments[at - 1].end,
        start_known: begun || first > 0,
        end_known: at < segments.len(),
        losses: losses(&segments[first..at]),
        segments: first..at,
        listener_burst,
        mode: segments[first].mode,
        gap_heard,
    };
    Found::Over(over, at)
}

impl Over {
    /// Its begin was heard, and surely enough to be told.
    pub fn key_up_heard(&self) -> bool {
        self.start_known && self.start.confidence >= tuning::KEY_UP_SURE_MIN
    }

    /// Long enough for any transmitter, and not a mere doubt from end to end. Where the recording itself
    /// begins or ends, nothing was heard that would vouch for it; one that outlasts the recording has nothing
    /// against it.
    pub fn counts(&self) -> bool {
        let heard = match (self.start_known, self.end_known) {
            (true, true) => either_sure(&self.start, &self.end),
            (true, false) => sure(&self.start),
            (false, true) => sure(&self.end),
            (false, false) => true,
        };
        heard && (self.end.t - self.start.t).get() > tuning::ON_MIN_S
    }
}

/// Whether the network is sure enough that something changes here.
fn sure(edge: &Edge) -> bool {
    edge.confidence >= tuning::EDGE_SURE_MIN
}

/// Whether it is of one of two edges, so that what lies between them was there.
fn either_sure(a: &Edge, b: &Edge) -> bool {
    sure(a) || sure(b)
}

/// One past the last segment of the transmission that goes on at `at`. A silence that no circuit is
/// quick enough for, or of which neither end is sure, does not end it. `None` where more segments are to come that may tell.
fn end_of_over(segments: &[Segment], mut at: usize, all: bool) -> Option<usize> {
    let run = |from: usize, carrier: bool| {
        let rest = segments[from..].iter();
        from + rest.take_while(|s| s.role.carrier() == carrier).count()
    };
    loop {
        let end = run(at, true);
        let next = run(end, false);
        let Some(following) = segments.get(next) else {
            return all.then_some(end);
        };
        let (drop, key_up) = (&segments[end - 1].end, &following.start);
        if (key_up.t - drop.t).get() >= tuning::GAP_MIN_S && either_sure(drop, key_up) {
            return Some(end);
        }
        at = next;
    }
}

/// Losses of the input within one transmission: wherever a user gives way to a quiet carrier.
fn losses(segments: &[Segment]) -> Vec<Loss> {
    let noise_before = |i: usize| {
        segments[..=i]
            .iter()
            .rev()
            .find(|s| s.role == Role::User)
            .filter(|s| s.sound.frames >= 3)
            .map(|s| s.sound.noise_db)
    };
    segments
        .windows(2)
        .enumerate()
        .filter(|(_, pair)| pair[0].role.input() && pair[1].role == Role::Quiet)
        .map(|(i, pair)| Loss {
            edge: pair[0].end,
            burst: (pair[0].role == Role::RepeaterBurst).then(|| pair[0].length()),
            noise_db: noise_before(i),
        })
        .collect()
}

/// Sums the sound of the user's part (all but the last quiet stretch) of one transmission.
pub fn user_part<'a>(
    segments: &'a [Segment],
    over: &Over,
) -> impl Iterator<Item = &'a SegmentSound> {
    let until = over.losses.last().map_or(over.end.t, |l| l.edge.t);
    segments[over.segments.clone()]
        .iter()
        .filter(move |s| s.start.t < until && matches!(s.role, Role::User | Role::Quiet))
        .map(|s| &s.sound)
}

/// Sound of the quiet carrier after the last loss.
pub fn tail_part<'a>(
    segments: &'a [Segment],
    over: &Over,
) -> impl Iterator<Item = &'a SegmentSound> {
    let from = over.losses.last().map_or(over.end.t, |l| l.edge.t);
    segments[over.segments.clone()]
        .iter()
        .filter(move |s| s.start.t >= from - Seconds(1e-9) && s.role == Role::Quiet)
        .map(|s| &s.sound)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timeline::segments::SegmentSound;
    use crate::units::Instant;

    /// Segments one after the other, of these lengths in seconds.
    fn segments(parts: &[(Role, f64)]) -> Vec<Segment> {
        let mut t = 0.0;
        parts
            .iter()
            .map(|(role, length)| {
                let start = Edge::plain(Instant(t));
                t += length;
                Segment {
                    role: *role,
                    mode: ListeningMode::Squelched,
                    start,
                    end: Edge::plain(Instant(t)),
                    sound: SegmentSound::default(),
                }
            })
            .collect()
    }

    #[test]
    fn where_the_recording_begins_nothing_vouches_for_a_transmission() {
        let edge = |t: f64, confidence: f64| Edge {
            confidence,
            ..Edge::plain(Instant(t))
        };
        let over = |start_known, start, end_known, end| Over {
            start,
            end,
            start_known,
            end_known,
            segments: 0..0,
            losses: Vec::new(),
            listener_burst: None,
            mode: ListeningMode::Squelched,
            gap_heard: true,
        };
        let (plain, doubted, sure) = (edge(0.0, 1.0), edge(2.0, 0.15), edge(2.0, 0.9));
        assert!(!over(false, plain, true, doubted).counts());
        assert!(over(false, plain, true, sure).counts());
        let last = edge(9.0, 1.0);
        assert!(!over(true, doubted, false, last).counts());
        assert!(over(true, sure, false, last).counts());
        assert!(over(false, plain, false, last).counts());
        assert!(over(true, edge(1.0, 0.1), true, sure).counts());
        assert!(!over(true, edge(1.0, 0.1), true, doubted).counts());
    }

    #[test]
    fn a_silence_too_quick_for_any_circuit_ends_no_transmission() {
        use Role::{ListenerBurst, Off, Quiet, User};
        let of = |gap: f64| {
            let list = [
                (Off, 1.0),
                (User, 0.2),
                (Quiet, 2.0),
                (ListenerBurst, gap / 2.0),
                (Off, gap / 2.0),
                (User, 0.2),
                (Quiet, 2.0),
                (Off, 1.0),
            ];
            let list = segments(&list);
            let (mut overs, mut n) = (Vec::new(), 0);
            while n < list.len() {
                n = match at(&list, n, false, true) {
                    Found::Over(over, end) => {
                        overs.push(over);
                        end
                    }
                    _ => n + 1,
                };
            }
            overs
        };
        assert_eq!(of(0.03).len(), 1);
        let two = of(0.06);
        assert_eq!(two.len(), 2);
        assert!(((two[1].start.t - two[0].end.t).get() - 0.06).abs() < 1e-9);
        assert!(two.iter().all(|o| o.losses.len() == 1));
        assert_eq!(of(0.03)[0].losses.len(), 2);
    }
}
