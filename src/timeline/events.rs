//! Transmissions and tones to events in order of time.

use super::refine::Edge;
use super::sureness::Sureness;
use super::tones::HeardTone;
use super::transmissions::Over;
use super::types::{Event, EventKind};
use crate::long_list::LongList;
use crate::tuning::timeline as tuning;
use crate::units::{Instant, Seconds};
use std::collections::VecDeque;

/// The events of one transmission, in order of time.
pub fn of(over: &Over) -> impl Iterator<Item = Event> {
    let sureness = Sureness::shipped();
    let event = move |edge: &Edge, kind: EventKind| Event {
        t: edge.t,
        kind,
        sd: edge.sd,
        confidence: sureness
            .curve(kind)
            .map_or(edge.confidence, |curve| curve.chance(edge.confidence)),
    };
    let start = (over.key_up_heard()).then_some((&over.start, EventKind::KeyUp));
    let losses = (over.losses.iter()).map(|loss| (&loss.edge, EventKind::InputLoss));
    let end = (over.end_known).then_some((&over.end, EventKind::CarrierDrop));
    (start.into_iter().chain(losses).chain(end)).map(move |(edge, kind)| event(edge, kind))
}

/// Whether a tone that begins then stands where a courtesy tone would.
pub fn after_loss(over: &Over, tone: Instant) -> bool {
    over.start.t < tone
        && tone < over.end.t
        && over.losses.iter().any(|loss| {
            let after = (tone - loss.edge.t).get();
            (-0.05..tuning::COURTESY_WINDOW_S).contains(&after)
        })
}

/// The events of transmissions and those that tones make, in order of time; each kind is in order by
/// itself.
pub fn merged(
    of_overs: impl Iterator<Item = Event>,
    of_tones: impl Iterator<Item = Event>,
) -> LongList<Event> {
    let mut of_overs = of_overs.peekable();
    let mut all = LongList::default();
    for tone in of_tones {
        while let Some(event) = of_overs.next_if(|e| e.t.total_cmp(&tone.t).is_le()) {
            all.push(event);
        }
        all.push(tone);
    }
    of_overs.for_each(|event| all.push(event));
    all
}

/// What tones mean, one after the other.
pub struct ToneEvents<I> {
    coming: I,
    /// Tones that were looked at and are not told yet.
    ahead: VecDeque<HeardTone>,
}

impl<I: Iterator<Item = HeardTone>> ToneEvents<I> {
    /// Of tones in order of time.
    pub fn of(coming: I) -> Self {
        Self {
            coming,
            ahead: VecDeque::new(),
        }
    }
}

impl<I: Iterator<Item = HeardTone>> Iterator for ToneEvents<I> {
    type Item = Event;

    fn next(&mut self) -> Option<Event> {
        let sd = Seconds(0.003);
        loop {
            while self.ahead.len() < ELEMENTS_MOST {
                let Some(tone) = self.coming.next() else {
                    break;
                };
                self.ahead.push_back(tone);
            }
            let tones = &*self.ahead.make_contiguous();
            let first = *tones.first()?;
            let group = keyed_group(tones);
            if let Some(wpm) = morse_speed(&tones[..group]) {
                self.ahead.drain(..group);
                let kind = EventKind::StationId {
                    frequency: first.frequency,
                    wpm,
                };
                return Some(Event {
                    t: first.start,
                    kind,
                    sd,
                    confidence: 0.9,
                });
            }
            self.ahead.pop_front();
            let length = (first.end - first.start).get();
            if first.digit.is_none() && length < SOLE_TONE_MIN_S {
                continue;
            }
            let kind = if first.digit.is_none() && length <= COURTESY_MAX_S && first.after_loss {
                EventKind::CourtesyTone {
                    frequency: first.frequency,
                }
            } else {
                EventKind::Tone {
                    frequency: first.frequency,
                    digit: first.digit,
                }
            };
            return Some(Event {
                t: first.start,
                kind,
                sd,
                confidence: 0.85,
            });
        }
    }
}

/// A lone tone shorter than this may be a vowel; seconds.
const SOLE_TONE_MIN_S: f64 = 0.06;
/// A courtesy tone is no longer than this; seconds (common practice, no source).
const COURTESY_MAX_S: f64 = 1.0;
/// Elements of one identifier keep their pitch within this; hertz.
const PITCH_HZ: f64 = 25.0;
/// Fewest elements that make an identifier: two letters have about six.
const ELEMENTS_MIN: usize = 7;
/// Most elements of one: a call sign, a place and a greeting have about a hundred. Without an end
/// days of beeps would be looked through anew from each beep on.
const ELEMENTS_MOST: usize = 256;

/// Length of the run of tones from the first that share its pitch and follow within a second, as
/// far as one identifier can go on.
fn keyed_group(tones: &[HeardTone]) -> usize {
    let first = &tones[0];
    if first.digit.is_some() {
        return 1;
    }
    let mut count = 1;
    while let Some(next) = tones.get(count).filter(|_| count < ELEMENTS_MOST) {
        let pause = (next.start - tones[count - 1].end).get();
        let same =
            (next.frequency - first.frequency).get().abs() <= PITCH_HZ && next.digit.is_none();
        if !same || pause > 1.0 {
            break;
        }
        count += 1;
    }
    count
}

/// Words a minute, if the lengths fall into dots and dashes: dit = 1.2 s / wpm (the word PARIS
/// has 50 units; ITU-R M.1677-1 for dash = 3 dots).
fn morse_speed(group: &[HeardTone]) -> Option<f64> {
    if group.len() < ELEMENTS_MIN {
        return None;
    }
    let mut lengths: Vec<f64> = group.iter().map(|t| (t.end - t.start).get()).collect();
    lengths.sort_by(f64::total_cmp);
    let (shortest, longest) = (lengths[0], lengths[lengths.len() - 1]);
    let middle = (shortest * longest).sqrt();
    let dots: Vec<f64> = lengths
        .iter()
        .copied()
        .filter(|l| *l < middle || longest < 2.0 * shortest)
        .collect();
    let dashes: Vec<f64> = lengths
        .iter()
        .copied()
        .filter(|l| *l >= middle && longest >= 2.0 * shortest)
        .collect();
    let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len().max(1) as f64;
    // Windows blur each element by a constant; dot + dash = 4 dits, and blur cancels in dash - dot.
    let dit = if dashes.is_empty() {
        mean(&dots)
    } else {
        (mean(&dashes) - mean(&dots)) / 2.0
    };
    if !(0.025..0.3).contains(&dit) {
        return None;
    }
    let tight = |v: &[f64]| {
        let mean = mean(v);
        v.iter().all(|l| (l - mean).abs() < 0.8 * dit)
    };
    (tight(&dots) && tight(&dashes)).then(|| 1.2 / dit)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timeline::transmissions::Over;
    use crate::timeline::types::ListeningMode;

    fn beep(start: f64) -> HeardTone {
        HeardTone {
            start: Instant(start),
            end: Instant(start + 0.4),
            frequency: crate::units::Hertz(1_000.0),
            digit: None,
            after_loss: false,
        }
    }

    fn over(start: f64, loss: f64, end: f64) -> Over {
        Over {
            start: Edge::plain(Instant(start)),
            end: Edge::plain(Instant(end)),
            start_known: true,
            end_known: true,
            segments: 0..0,
            losses: vec![crate::timeline::transmissions::Loss {
                edge: Edge::plain(Instant(loss)),
                burst: None,
                noise_db: None,
            }],
            listener_burst: None,
            mode: ListeningMode::Squelched,
            gap_heard: true,
        }
    }

    #[test]
    fn a_tone_soon_after_a_loss_is_a_courtesy_tone_and_others_are_not() {
        let overs = [over(0.0, 5.0, 7.0), over(20.0, 25.0, 27.0)];
        let tones = [3.0, 5.5, 15.0, 25.5].map(|start| HeardTone {
            after_loss: overs.iter().any(|o| after_loss(o, Instant(start))),
            ..beep(start)
        });
        let of_tones = ToneEvents::of(tones.into_iter());
        let kinds: Vec<bool> = (merged(overs.iter().flat_map(of), of_tones).iter())
            .filter_map(|e| match e.kind {
                EventKind::CourtesyTone { .. } => Some(true),
                EventKind::Tone { .. } => Some(false),
                _ => None,
            })
            .collect();
        assert_eq!(kinds, [false, true, false, true]);
    }

    /// Looked through anew from each beep on, this took minutes.
    #[test]
    fn a_day_of_beeps_takes_no_time() {
        const BEEPS: usize = 150_000;
        let tones = (0..BEEPS).map(|n| beep(n as f64 * 0.55));
        let overs: Vec<Over> = (0..BEEPS / 8)
            .map(|n| {
                let start = n as f64 * 4.4;
                over(start, start + 2.0, start + 4.0)
            })
            .collect();
        let begun = std::time::Instant::now();
        let events = merged(overs.iter().flat_map(of), ToneEvents::of(tones));
        assert!(events.iter().is_sorted_by(|a, b| a.t <= b.t));
        assert!(events.len() > BEEPS / 8 * 3, "{}", events.len());
        assert!(begun.elapsed().as_secs() < 20, "{:?}", begun.elapsed());
    }
}
