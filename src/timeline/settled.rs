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
        let open = segments.get(at).map(|s| s.start.t);
        self.segments = segments;
        self.segments.drain(..at);
        self.begun |= at > 0;
        // A tone within a transmission that goes on, or has just begun, waits for its end.
        let until = open.filter(|t| *t < horizon).unwrap_or(horizon);
        let settled = self.tones.partition_point(|t| t.start < until);
        for tone in self.tones.drain(..settled) {
            self.heard_tones.push(tone);
        }
    }

    fn take(&mut self, segments: &[Segment], over: &Over) {
        if let Some(before) = self.waiting.take() {
            self.drops
                .push(before.followed_by(Some(over), over.start.t));
        }
        self.traces.add_over(over);
        self.carrier.push(Transmission {
            start: over.start.t,
            end: over.end.t,
            start_known: over.key_up_heard(),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timeline::refine::Edge;
    use crate::timeline::roles::Role;
    use crate::timeline::segments::SegmentSound;
    use crate::timeline::types::{EventKind, ListeningMode};
    use crate::units::Hertz;

    fn segment((role, start, end): (Role, f64, f64)) -> Segment {
        Segment {
            role,
            mode: ListeningMode::Squelched,
            start: Edge::plain(Instant(start)),
            end: Edge::plain(Instant(end)),
            sound: SegmentSound::default(),
        }
    }

    #[test]
    fn what_rests_on_a_doubted_key_up_is_not_told() {
        use Role::{Off, Quiet, User};
        let told = |gap: f64, sure: f64| {
            let again = 6.0 + gap;
            let mut block = [
                (Off, 0.0, 1.0),
                (User, 1.0, 3.0),
                (Quiet, 3.0, 6.0),
                (Off, 6.0, again),
                (User, again, again + 1.0),
                (Quiet, again + 1.0, again + 4.0),
                (Off, again + 4.0, again + 9.0),
            ]
            .map(segment);
            block[4].start.confidence = sure;
            let mut settled = Settled::default();
            settled.add(block.to_vec(), Vec::new(), Instant(0.0), Instant(20.0));
            settled.finish(Instant(again + 9.0))
        };
        let key_ups = |found: &Settled| {
            let is = |e: &Event| e.kind == EventKind::KeyUp;
            found.events.iter().filter(is).count()
        };
        let sure = told(0.3, 0.6);
        let (first, second) = (sure.drops.get(0).unwrap(), sure.drops.get(1).unwrap());
        assert_eq!((key_ups(&sure), first.came_back), (2, Some(true)));
        assert!(first.gap.is_some() && first.rekey.is_some() && second.on.is_some());
        // It came back, but when was not heard; a key-up that seems late may have been in time.
        for (gap, came_back) in [(0.3, Some(true)), (3.0, None)] {
            let doubted = told(gap, 0.3);
            let (first, second) = (doubted.drops.get(0).unwrap(), doubted.drops.get(1).unwrap());
            assert_eq!((key_ups(&doubted), first.came_back), (1, came_back));
            assert_eq!((first.gap, first.rekey), (None, None));
            assert_eq!((second.on, second.blip), (None, None));
            assert!((second.tail.unwrap().get() - 3.0).abs() < 1e-9);
            assert!(!doubted.carrier.get(1).unwrap().start_known);
        }
        assert_eq!(told(3.0, 0.6).drops.get(0).unwrap().came_back, Some(false));
    }

    #[test]
    fn a_tone_waits_for_the_end_of_the_transmission_that_a_seam_cuts() {
        use Role::{Off, Quiet, User};
        let tone = HeardTone {
            start: Instant(3.0),
            end: Instant(3.2),
            frequency: Hertz(880.0),
            digit: None,
            after_loss: false,
        };
        // The transmission begins with the last segment that the first block has shown, and before its
        // tone lies another loss of the input.
        for first in [
            &[(Off, 0.0, 1.0), (User, 1.0, 6.0)][..],
            &[(Off, 0.0, 1.0), (User, 1.0, 2.0), (Quiet, 2.0, 6.0)],
        ] {
            let lost = first.len() == 3;
            let mut settled = Settled::default();
            let block = first.iter().copied().map(segment).collect();
            settled.add(block, vec![tone], Instant(0.0), Instant(4.0));
            let goes_on = if lost { Quiet } else { User };
            let block = [(goes_on, 4.0, 8.0), (Quiet, 8.0, 10.0), (Off, 10.0, 12.0)];
            let block = block.map(segment).to_vec();
            settled.add(block, Vec::new(), Instant(5.0), Instant(11.0));
            let found = settled.finish(Instant(12.0));
            let tones: Vec<u16> = found.drops.iter().map(|d| d.sound.tones).collect();
            assert_eq!(tones, [1]);
            let heard = found.heard_tones.get(0).unwrap();
            assert_eq!((heard.start, heard.after_loss), (tone.start, lost));
        }
    }
}
