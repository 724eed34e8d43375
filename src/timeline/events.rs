//! Transmissions and tones to events in order of time.

use super::refine::Edge;
use super::sureness::Sureness;
use super::tones::ToneRun;
use super::transmissions::Over;
use super::types::{Event, EventKind};
use crate::tuning::timeline as tuning;
use crate::units::{Instant, Seconds};

/// All events, in order of time.
pub fn list(overs: &[Over], tones: &[ToneRun]) -> Vec<Event> {
    let mut events = Vec::new();
    let sureness = Sureness::shipped();
    let event = |edge: &Edge, kind: EventKind| Event {
        t: edge.t,
        kind,
        sd: edge.sd,
        confidence: sureness
            .curve(kind)
            .map_or(edge.confidence, |curve| curve.chance(edge.confidence)),
    };
    for over in overs {
        if over.start_known {
            events.push(event(&over.start, EventKind::KeyUp));
        }
        for loss in &over.losses {
            events.push(event(&loss.edge, EventKind::InputLoss));
        }
        if over.end_known {
            events.push(event(&over.end, EventKind::CarrierDrop));
        }
    }
    tone_events(overs, tones, &mut events);
    events.sort_by(|a, b| a.t.total_cmp(&b.t));
    events
}

fn tone_events(overs: &[Over], tones: &[ToneRun], events: &mut Vec<Event>) {
    let sd = Seconds(0.003);
    let mut at = 0;
    while at < tones.len() {
        let group = keyed_group(&tones[at..]);
        let first = &tones[at];
        if let Some(wpm) = morse_speed(&tones[at..at + group]) {
            let kind = EventKind::StationId {
                frequency: first.frequency,
                wpm,
            };
            events.push(Event {
                t: first.start,
                kind,
                sd,
                confidence: 0.9,
            });
            at += group;
            continue;
        }
        at += 1;
        if first.digit.is_none() && (first.end - first.start).get() < SOLE_TONE_MIN_S {
            continue;
        }
        let courtesy = first.digit.is_none()
            && (first.end - first.start).get() <= COURTESY_MAX_S
            && over_at(overs, first.start).is_some_and(|o| {
                o.losses.iter().any(|l| {
                    let after = (first.start - l.edge.t).get();
                    (-0.05..tuning::COURTESY_WINDOW_S).contains(&after)
                })
            });
        let kind = if courtesy {
            EventKind::CourtesyTone {
                frequency: first.frequency,
            }
        } else {
            EventKind::Tone {
                frequency: first.frequency,
                digit: first.digit,
            }
        };
        events.push(Event {
            t: first.start,
            kind,
            sd,
            confidence: 0.85,
        });
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

/// The transmission that goes on at a moment; they follow each other in time.
fn over_at(overs: &[Over], t: Instant) -> Option<&Over> {
    let begun = overs.partition_point(|o| o.start.t < t);
    overs[..begun].last().filter(|o| t < o.end.t)
}

/// Length of the run of tones from the first that share its pitch and follow within a second, as
/// far as one identifier can go on.
fn keyed_group(tones: &[ToneRun]) -> usize {
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
fn morse_speed(group: &[ToneRun]) -> Option<f64> {
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

    fn beep(start: f64) -> ToneRun {
        ToneRun {
            from: 0,
            to: 20,
            start: Instant(start),
            end: Instant(start + 0.4),
            frequency: crate::units::Hertz(1_000.0),
            digit: None,
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
        let tones = [3.0, 5.5, 15.0, 25.5].map(beep);
        let kinds: Vec<bool> = (list(&overs, &tones).iter())
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
        let tones: Vec<ToneRun> = (0..BEEPS).map(|n| beep(n as f64 * 0.55)).collect();
        let overs: Vec<Over> = (0..BEEPS / 8)
            .map(|n| {
                let start = n as f64 * 4.4;
                over(start, start + 2.0, start + 4.0)
            })
            .collect();
        let begun = std::time::Instant::now();
        let events = list(&overs, &tones);
        assert!(events.len() > BEEPS / 8 * 3, "{}", events.len());
        assert!(begun.elapsed().as_secs() < 20, "{:?}", begun.elapsed());
    }
}
