//! Any timeline that the floor above could hand down, to a verdict: no panic, chances that are
//! chances, and no self-desense without cycles.

use tailbeat::cause::{
    self,
    verdict::{Cause, Label},
};
use tailbeat::timeline::types::{
    Drop, Event, EventKind, HangTime, Likeness, Listening, ListeningMode, Timeline, Transmission,
    TransmissionSound,
};
use tailbeat::units::{Decibels, Hertz, Instant, Seconds};

/// Most transmissions drawn.
const MOST: usize = 400;

struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    fn next(&mut self) -> u8 {
        let Some((first, rest)) = self.0.split_first() else {
            return 0;
        };
        self.0 = rest;
        *first
    }

    fn maybe(&mut self, value: impl Fn(u8) -> f64) -> Option<f64> {
        let byte = self.next();
        (byte != 0).then(|| value(byte))
    }

    /// From 1 ms to about a quarter of an hour.
    fn seconds(&mut self) -> f64 {
        10.0_f64.powf(f64::from(self.next()) / 255.0 * 5.95 - 3.0)
    }
}

pub fn run(bytes: &[u8]) {
    let mut bytes = Bytes(bytes);
    let mode = match bytes.next() % 5 {
        0 => ListeningMode::Squelched,
        1 => ListeningMode::OpenSquelch,
        2 => ListeningMode::BurstsOnly,
        3 => ListeningMode::NoGaps,
        _ => ListeningMode::NotFm,
    };
    let hang = bytes.maybe(|b| f64::from(b) / 25.0).map(Seconds);
    let mut timeline = Timeline {
        listening: Listening {
            bandwidth: bytes.maybe(|b| f64::from(b) * 14.0).map(Hertz),
            noise_steps_per_min: f64::from(bytes.next()),
            noise_share: f64::from(bytes.next()) / 255.0,
            cut_chance: f64::from(bytes.next()) / 255.0,
            ..Listening::to_nothing(mode)
        },
        hang_time: hang.map(|h| HangTime {
            estimate: h,
            low: h,
            high: h,
            count: 3,
        }),
        ..Timeline::of_nothing(mode)
    };
    // It sounds like any cause as surely as a byte says, in blocks of any length.
    let mut block = Instant(0.0);
    for _ in 0..bytes.next() % 4 {
        let end = block + Seconds(bytes.seconds());
        timeline.likeness.push(Likeness {
            start: block,
            end,
            log_chances: std::array::from_fn(|_| -f32::from(bytes.next()) / 10.0),
        });
        block = end;
    }
    let mut now = Instant(0.0);
    while !bytes.0.is_empty() && timeline.drops.len() < MOST {
        let (on, gap) = (Seconds(bytes.seconds()), Seconds(bytes.seconds()));
        let start = now;
        let end = start + on;
        now = end + gap;
        let known = bytes.next();
        timeline.carrier.push(Transmission {
            start,
            end,
            start_known: known & 1 == 0,
            end_known: known & 2 == 0,
        });
        timeline.events.push(Event {
            t: end,
            kind: EventKind::CarrierDrop,
            sd: Seconds(0.01),
            confidence: 0.9,
        });
        let part = |b: u8| f64::from(b) / 255.0 * on.get();
        let decibels = |b: u8| f64::from(b) / 4.0 - 50.0;
        timeline.drops.push(Drop {
            drop: end,
            rekey: (known & 4 == 0).then_some(now),
            gap: (known & 4 == 0).then_some(gap),
            on: (known & 8 == 0).then_some(on),
            blip: bytes.maybe(part).map(Seconds),
            tail: bytes.maybe(part).map(Seconds),
            came_back: match known & 0x30 {
                0 => None,
                0x10 => Some(false),
                _ => Some(known & 4 == 0),
            },
            quieting: bytes.maybe(decibels).map(Decibels),
            sound: TransmissionSound {
                user_noise: bytes.maybe(decibels).map(Decibels),
                tail_noise: bytes.maybe(decibels).map(Decibels),
                noise_swings_per_s: bytes.maybe(|b| f64::from(b) / 8.0),
                tail_swings_per_s: bytes.maybe(|b| f64::from(b) / 8.0),
                tail_noise_spread: bytes.maybe(|b| f64::from(b) / 16.0).map(Decibels),
                repeater_burst: bytes.maybe(part).map(Seconds),
                listener_burst: bytes.maybe(part).map(Seconds),
                modulated_share: bytes.maybe(|b| f64::from(b) / 255.0),
                crackle: bytes.maybe(|b| f64::from(b) / 16.0 - 2.0),
                quiet_before_drop: bytes.maybe(part).map(Seconds),
                tones: u16::from(bytes.next() % 8),
            },
        });
    }
    let verdict = cause::judge(&timeline, hang);
    let sum: f64 = verdict.posterior.iter().sum();
    assert!((sum - 1.0).abs() < 1e-6, "{sum}");
    assert!(verdict.posterior.iter().all(|p| (0.0..=1.0).contains(p)));
    assert!((0.0..=1.0).contains(&verdict.probability));
    for evidence in &verdict.evidence {
        assert!(
            evidence.log10_odds.is_finite() && !evidence.value.is_nan(),
            "{evidence:?}"
        );
    }
    if verdict.label == Label::Cause(Cause::SelfDesense) && mode != ListeningMode::NoGaps {
        let back = timeline.drops.iter().filter(|d| d.gap.is_some()).count();
        assert!(back >= 3, "self-desense of {back} returns");
    }
    for pair in verdict.episodes.windows(2) {
        assert!(pair[0].start <= pair[1].start, "episodes out of order");
    }
}
