//! What of the timeline is final behind the ear: stretches become transmissions, events and drops as
//! soon as nothing can change them any more, and are held no longer. So a week takes no more memory
//! than an hour.

use super::drops::{self, Waiting};
use super::events;
use super::hang::Tail;
use super::listening::Traces;
use super::segments::{Segment, join};
use super::tones::HeardTone;
use super::transmissions::{self, Found, Over};
use super::types::{Drop, Event, Transmission};
use crate::long_list::LongList;
use crate::units::Instant;

/// Stretches and tones that may still change, and all that came of those before.
#[derive(Default)]
pub struct Settled {
    segments: Vec<Segment>,
    /// Others came before these.
    begun: bool,
    tones: Vec<HeardTone>,
    /// The drop of the last transmission, whose re-key is not known yet.
    waiting: Option<Waiting>,
    /// What all stretches leave.
    pub traces: Traces,
    /// Transmissions.
    pub carrier: LongList<Transmission>,
    /// Events of transmissions.
    pub events: LongList<Event>,
    /// Carrier drops, as if no gap had been cut out.
    pub drops: LongList<Drop>,
    /// Tails that may be the hang time.
    pub tails: LongList<Tail>,
    /// Tones.
    pub heard_tones: LongList<HeardTone>,
}

impl Settled {
    /// Takes what one block showed. From `seam` on, it is better than what the block before showed;
    /// before `horizon` no later block will show anything.
    pub fn add(
        &mut self,
        segments: Vec<Segment>,
        tones: Vec<HeardTone>,
        seam: Instant,
        horizon: Instant,
    ) {
        join(&mut self.segments, segments, seam);
        let kept = self.tones.partition_point(|t| t.start < seam);
        self.tones.truncate(kept);
        self.tones
            .extend(tones.into_iter().filter(|t| t.start >= seam));
        // The last of those that begin before may still be joined with what follows.
        let begun = self.segments.partition_point(|s| s.start.t < horizon);
        self.settle(begun.saturating_sub(1), horizon);
    }

    /// Nothing was taken yet.
    pub const fn is_empty(&self) -> bool {
        self.segments.is_empty()
    }

    /// Nothing follows: `end` is where the recording stops.
    pub fn finish(mut self, end: Instant) -> Self {
        self.settle(self.segments.len(), Instant(f64::INFINITY));
        if let Some(last) = self.waiting.take() {
            self.drops.push(last.followed_by(None, end));
        }
        self
    }

    /// The same where there is no repeater, and so no transmissions of one.
    pub fn without_transmissions(self) -> Self {
        let alone = |tone: HeardTone| HeardTone {
            after_loss: false,
            ..tone
        };
        Self {
            heard_tones: self.heard_tones.iter().map(alone).collect(),
            traces: self.traces,
            ..Self::default()
        }
    }

    /// Settles what the first `count` segments tell.
    fn settle(&mut self, count: usize, horizon: Instant) {
        let all = count == self.segments.len();
        let segments = std::mem::take(&mut self.segments);
        let mut at = 0;
        while at < count {
            match transmissions::at(&segments[..count], at, self.begun, all) {
                Found::Nothing => at += 1,
                Found::Over(over, end) => {
                    if over.counts() {
                        self.take(&segments, &over);
                    }
                    at = end;
                }
                Found::Open => break,
            }
        }
        segments[..at].iter().for_each(|s| self.traces.add(s));
        let open = segments[at..count].first().map(|s| s.start.t);
        self.segments = segments;
        self.segments.drain(..at);
        self.begun |= at > 0;
        // A tone within a transmission that goes on waits for its end.
        let until = open.filter(|t| *t < horizon).unwrap_or(horizon);
        let settled = self.tones.partition_point(|t| t.start < until);
        for tone in self.tones.drain(..settled) {
            self.heard_tones.push(tone);
        }
    }

    fn take(&mut self, segments: &[Segment], over: &Over) {
        if let Some(before) = self.waiting.take() {
            let next = Some(over.start.t);
            self.drops.push(before.followed_by(next, over.start.t));
        }
        self.traces.add_over(over);
        self.carrier.push(Transmission {
            start: over.start.t,
            end: over.end.t,
            start_known: over.start_known,
            end_known: over.end_known,
        });
        events::of(over).for_each(|event| self.events.push(event));
        if let Some(tail) = Tail::of(over) {
            self.tails.push(tail);
        }
        let before = |edge: Instant| self.tones.partition_point(|t| t.start < edge);
        let inside = before(over.start.t)..before(over.end.t).max(before(over.start.t));
        self.waiting = drops::of(segments, over, inside.len());
        for tone in &mut self.tones[inside] {
            tone.after_loss = events::after_loss(over, tone.start);
        }
    }
}
