//! How what was found is written out, where days of it do not stay in memory.

use super::hang::Tail;
use super::tones::HeardTone;
use super::types::{Drop, Event, EventKind, LIKENESSES, Likeness, Transmission, TransmissionSound};
use crate::long_list::{Record, Written};
use crate::units::{Decibels, Hertz, Instant, Seconds};

/// A digit as a byte; zero is none.
fn digit_byte(digit: Option<char>) -> u8 {
    digit.and_then(|d| u8::try_from(d).ok()).unwrap_or(0)
}

fn digit_of(byte: u8) -> Option<char> {
    (byte != 0).then(|| char::from(byte))
}

impl Record for Transmission {
    const BYTES: usize = 18;

    fn write(&self, out: &mut Written) {
        out.put_number(self.start.get());
        out.put_number(self.end.get());
        out.put(&[u8::from(self.start_known), u8::from(self.end_known)]);
    }

    fn read(from: &mut Written) -> Self {
        let (start, end) = (Instant(from.number()), Instant(from.number()));
        let [start_known, end_known] = from.take();
        Self {
            start,
            end,
            start_known: start_known != 0,
            end_known: end_known != 0,
        }
    }
}

impl Record for Likeness {
    const BYTES: usize = 16 + 4 * LIKENESSES;

    fn write(&self, out: &mut Written) {
        out.put_number(self.start.get());
        out.put_number(self.end.get());
        for log in self.log_chances {
            out.put(&log.to_le_bytes());
        }
    }

    fn read(from: &mut Written) -> Self {
        Self {
            start: Instant(from.number()),
            end: Instant(from.number()),
            log_chances: std::array::from_fn(|_| f32::from_le_bytes(from.take())),
        }
    }
}

impl Record for Event {
    const BYTES: usize = 42;

    fn write(&self, out: &mut Written) {
        let (kind, a, b, digit) = match self.kind {
            EventKind::KeyUp => (0, 0.0, 0.0, None),
            EventKind::InputLoss => (1, 0.0, 0.0, None),
            EventKind::CarrierDrop => (2, 0.0, 0.0, None),
            EventKind::CourtesyTone { frequency } => (3, frequency.get(), 0.0, None),
            EventKind::StationId { frequency, wpm } => (4, frequency.get(), wpm, None),
            EventKind::Tone { frequency, digit } => (5, frequency.get(), 0.0, digit),
        };
        out.put(&[kind, digit_byte(digit)]);
        for number in [self.t.get(), self.sd.get(), self.confidence, a, b] {
            out.put_number(number);
        }
    }

    fn read(from: &mut Written) -> Self {
        let [kind, digit] = from.take();
        let [t, sd, confidence, a, wpm] = std::array::from_fn(|_| from.number());
        let frequency = Hertz(a);
        Self {
            t: Instant(t),
            kind: match kind {
                0 => EventKind::KeyUp,
                1 => EventKind::InputLoss,
                2 => EventKind::CarrierDrop,
                3 => EventKind::CourtesyTone { frequency },
                4 => EventKind::StationId { frequency, wpm },
                _ => EventKind::Tone {
                    frequency,
                    digit: digit_of(digit),
                },
            },
            sd: Seconds(sd),
            confidence,
        }
    }
}

impl Record for Drop {
    const BYTES: usize = 8 + 16 * 9 + 1 + 2;

    fn write(&self, out: &mut Written) {
        let seconds = |s: Option<Seconds>| s.map(Seconds::get);
        let decibels = |d: Option<Decibels>| d.map(Decibels::get);
        let sound = &self.sound;
        out.put_number(self.drop.get());
        for number in [
            self.rekey.map(Instant::get),
            seconds(self.gap),
            seconds(self.on),
            seconds(self.blip),
            seconds(self.tail),
            decibels(self.quieting),
            decibels(sound.user_noise),
            decibels(sound.tail_noise),
            sound.noise_swings_per_s,
            sound.tail_swings_per_s,
            decibels(sound.tail_noise_spread),
            seconds(sound.repeater_burst),
            seconds(sound.listener_burst),
            sound.modulated_share,
            sound.crackle,
            seconds(sound.quiet_before_drop),
        ] {
            out.put_maybe(number);
        }
        out.put(&[self.came_back.map_or(2, u8::from)]);
        out.put(&sound.tones.to_le_bytes());
    }

    fn read(from: &mut Written) -> Self {
        // In the order in which they were written.
        let drop = Instant(from.number());
        let rekey = from.maybe().map(Instant);
        let mut seconds = || from.maybe().map(Seconds);
        let (gap, on, blip, tail) = (seconds(), seconds(), seconds(), seconds());
        let quieting = from.maybe().map(Decibels);
        let sound = TransmissionSound {
            user_noise: from.maybe().map(Decibels),
            tail_noise: from.maybe().map(Decibels),
            noise_swings_per_s: from.maybe(),
            tail_swings_per_s: from.maybe(),
            tail_noise_spread: from.maybe().map(Decibels),
            repeater_burst: from.maybe().map(Seconds),
            listener_burst: from.maybe().map(Seconds),
            modulated_share: from.maybe(),
            crackle: from.maybe(),
            quiet_before_drop: from.maybe().map(Seconds),
            tones: 0,
        };
        let [back] = from.take();
        Self {
            drop,
            rekey,
            gap,
            on,
            blip,
            tail,
            came_back: (back < 2).then_some(back == 1),
            quieting,
            sound: TransmissionSound {
                tones: u16::from_le_bytes(from.take()),
                ..sound
            },
        }
    }
}

impl Record for HeardTone {
    const BYTES: usize = 26;

    fn write(&self, out: &mut Written) {
        for number in [self.start.get(), self.end.get(), self.frequency.get()] {
            out.put_number(number);
        }
        out.put(&[digit_byte(self.digit), u8::from(self.after_loss)]);
    }

    fn read(from: &mut Written) -> Self {
        let [start, end, hz] = std::array::from_fn(|_| from.number());
        let [digit, after_loss] = from.take();
        Self {
            start: Instant(start),
            end: Instant(end),
            frequency: Hertz(hz),
            digit: digit_of(digit),
            after_loss: after_loss != 0,
        }
    }
}

impl Record for Tail {
    const BYTES: usize = 17;

    fn write(&self, out: &mut Written) {
        out.put_number(self.length_s);
        out.put_number(self.sd_s);
        out.put(&[u8::from(self.marked)]);
    }

    fn read(from: &mut Written) -> Self {
        let [length_s, sd_s] = std::array::from_fn(|_| from.number());
        let [marked] = from.take();
        Self {
            length_s,
            marked: marked != 0,
            sd_s,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::long_list::LongList;

    /// Written, read, and the next one stands where it belongs.
    fn as_it_was<T: Record + PartialEq + std::fmt::Debug>(one: T, other: T) {
        let mut written = Written::default();
        for record in [one, other, one] {
            record.write(&mut written);
        }
        for record in [one, other, one] {
            assert_eq!(T::read(&mut written), record);
        }
        let list: LongList<T> = std::iter::repeat_n([one, other], 10_000)
            .flatten()
            .collect();
        assert_eq!(list.get(1), Some(other));
        assert_eq!(list.get(4_000), Some(one));
    }

    #[test]
    fn everything_is_read_as_it_was_written() {
        let t = Instant(1.0 / 3.0);
        as_it_was(
            Transmission {
                start: t,
                end: Instant(7.25),
                start_known: true,
                end_known: false,
            },
            Transmission {
                start: Instant(-0.0),
                end: t,
                start_known: false,
                end_known: true,
            },
        );
        let event = |kind| Event {
            t,
            kind,
            sd: Seconds(1e-3 / 3.0),
            confidence: 0.9,
        };
        let frequency = Hertz(1_000.0 / 7.0);
        let kinds = [
            EventKind::KeyUp,
            EventKind::InputLoss,
            EventKind::CarrierDrop,
            EventKind::CourtesyTone { frequency },
            EventKind::StationId {
                frequency,
                wpm: 20.0 / 3.0,
            },
            EventKind::Tone {
                frequency,
                digit: None,
            },
            EventKind::Tone {
                frequency,
                digit: Some('#'),
            },
        ];
        for pair in kinds.windows(2) {
            as_it_was(event(pair[0]), event(pair[1]));
        }
        let tone = HeardTone {
            start: t,
            end: Instant(2.0),
            frequency,
            digit: Some('A'),
            after_loss: false,
        };
        as_it_was(
            tone,
            HeardTone {
                digit: None,
                after_loss: true,
                ..tone
            },
        );
        let tail = Tail {
            length_s: 1.0 / 3.0,
            marked: true,
            sd_s: 0.1,
        };
        as_it_was(
            tail,
            Tail {
                marked: false,
                ..tail
            },
        );
    }

    #[test]
    fn a_drop_is_read_as_it_was_written_whatever_is_unknown() {
        let n = std::cell::Cell::new(0.0);
        let next = || {
            n.set(n.get() + 1.0 / 3.0);
            Some(n.get())
        };
        let (seconds, decibels) = (|| next().map(Seconds), || next().map(Decibels));
        let full = Drop {
            drop: Instant(99.0),
            rekey: next().map(Instant),
            gap: seconds(),
            on: seconds(),
            blip: seconds(),
            tail: seconds(),
            came_back: Some(true),
            quieting: decibels(),
            sound: TransmissionSound {
                user_noise: decibels(),
                tail_noise: decibels(),
                noise_swings_per_s: next(),
                tail_swings_per_s: next(),
                tail_noise_spread: decibels(),
                repeater_burst: seconds(),
                listener_burst: seconds(),
                modulated_share: next(),
                crackle: next(),
                quiet_before_drop: seconds(),
                tones: 513,
            },
        };
        let bare = Drop {
            rekey: None,
            gap: None,
            on: None,
            blip: None,
            tail: None,
            came_back: None,
            quieting: None,
            sound: TransmissionSound::default(),
            ..full
        };
        as_it_was(full, bare);
        as_it_was(
            Drop {
                came_back: Some(false),
                ..bare
            },
            full,
        );
    }
}
