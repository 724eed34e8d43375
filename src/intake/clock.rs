//! Time by the packets' stamps: where each packet's samples belong, and what is missing before
//! them. Counting samples alone would move every later event after a loss.

use crate::tuning::intake::{JITTER, JITTER_FOLLOWED, LONGEST_JUMP, LONGEST_OVERLAP};
use crate::units::{SampleRate, Seconds};

/// Where a packet's samples go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    /// Samples missing before the packet.
    pub missing: u64,
    /// Samples at its front to drop: they lie before the recording's start (the codec's delay),
    /// or where a damaged packet has already put too many.
    pub drop_front: u64,
}

/// Keeps the position on the recording's clock, in samples.
#[derive(Debug)]
pub(super) struct Clock {
    rate: SampleRate,
    /// Where the next sample belongs; negative inside the codec's delay.
    next: i64,
    /// Stamp minus position, once the first packet is known.
    offset: Option<f64>,
    delay: Option<u64>,
    /// Length by the header, where it tells.
    expected: Option<u64>,
    tolerance: f64,
    exact: bool,
}

impl Clock {
    /// `tick` is the unit of the stamps, `delay` the codec's, in samples, where the header tells
    /// it; without it, stamps below zero do.
    pub fn new(rate: SampleRate, tick: Seconds, delay: Option<u64>, expected: Option<u64>) -> Self {
        let hz = f64::from(rate.hz());
        let exact = tick.0 * hz <= 1.01;
        // Stamps that count samples do not jitter; a millisecond forgives a muxer's rounding.
        let tolerance = if exact {
            hz * 1e-3
        } else {
            (JITTER.0 * hz).max(2.0 * tick.0 * hz)
        };
        Self {
            rate,
            next: 0,
            offset: None,
            delay,
            expected,
            tolerance,
            exact,
        }
    }

    /// Anchors the clock on the first packet's stamp, whether or not it decodes.
    pub fn begin(&mut self, stamp: Seconds) {
        if self.offset.is_none() {
            let stamp = stamp.0 * f64::from(self.rate.hz());
            let delay = *self.delay.get_or_insert((-stamp).round().max(0.0) as u64);
            self.next = -(delay as i64);
            self.offset = Some(stamp - self.next as f64);
        }
    }

    /// Starts anew at the current position: a chained stream counts from its own zero.
    pub fn rebase(&mut self, delay: u64) {
        self.offset = None;
        self.delay = Some(delay);
    }

    /// Places a packet of `frames` samples with this stamp, and moves on behind it.
    pub fn place(&mut self, stamp: Seconds, frames: usize) -> Place {
        self.begin(stamp);
        let stamp = stamp.0 * f64::from(self.rate.hz());
        let offset = self.offset.unwrap_or_default();
        let ahead = stamp - offset - self.next as f64;
        let (mut missing, mut overlap) = (0, 0);
        if ahead > self.tolerance {
            let gap = self.whole_packets(ahead, frames);
            if gap <= self.longest_gap() {
                missing = gap;
                self.offset = Some(offset + ahead - gap as f64);
            } else {
                self.offset = Some(offset + ahead);
            }
        } else if ahead < -self.tolerance
            && self.next > 0
            && -ahead <= LONGEST_OVERLAP.0 * f64::from(self.rate.hz())
        {
            overlap = (-ahead).round().min(frames as f64) as u64;
        } else if ahead < -self.tolerance {
            self.offset = Some(offset + ahead);
        } else if !self.exact {
            self.offset = Some(offset + ahead * JITTER_FOLLOWED);
        }
        self.next += missing as i64;
        let before_start = (-self.next).clamp(0, frames as i64) as u64;
        self.next += frames as i64 - overlap as i64;
        Place {
            missing,
            drop_front: before_start.max(overlap),
        }
    }

    /// Samples on the recording's clock so far.
    pub fn position(&self) -> u64 {
        self.next.max(0) as u64
    }

    /// The codec's delay that is taken off.
    pub fn delay(&self) -> u64 {
        self.delay.unwrap_or(0)
    }

    /// Coarse stamps round; what is lost is whole packets.
    fn whole_packets(&self, ahead: f64, frames: usize) -> u64 {
        let packet = frames as f64;
        let whole = (ahead / packet).round() * packet;
        if !self.exact && frames > 0 && (ahead - whole).abs() <= self.tolerance {
            whole as u64
        } else {
            ahead.round() as u64
        }
    }

    fn longest_gap(&self) -> u64 {
        match self.expected {
            Some(expected) => expected.saturating_sub(self.position()) + u64::from(self.rate.hz()),
            None => self.rate.seconds_to_samples(LONGEST_JUMP),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: u32 = 48_000;

    fn clock(tick_s: f64, delay: Option<u64>) -> Clock {
        Clock::new(
            SampleRate::new(RATE).expect("rate"),
            Seconds(tick_s),
            delay,
            None,
        )
    }

    fn samples(count: i64) -> Seconds {
        Seconds(count as f64 / f64::from(RATE))
    }

    #[test]
    fn a_lost_packet_leaves_its_length_free() {
        let mut clock = clock(1.0 / 48_000.0, None);
        assert_eq!(clock.place(samples(0), 960).missing, 0);
        assert_eq!(clock.place(samples(1_920), 960).missing, 960);
        assert_eq!(clock.position(), 2_880);
    }

    #[test]
    fn the_delay_lies_before_the_start() {
        let mut clock = clock(1.0 / 48_000.0, Some(312));
        let place = clock.place(samples(0), 960);
        assert_eq!((place.drop_front, clock.position()), (312, 648));
    }

    #[test]
    fn stamps_below_zero_are_a_delay() {
        let mut clock = clock(1.0 / 48_000.0, None);
        let first = clock.place(samples(-1_105), 1_152);
        assert_eq!((first.drop_front, clock.delay()), (1_105, 1_105));
        assert_eq!(clock.place(samples(47), 1_152).missing, 0);
    }

    #[test]
    fn whole_millisecond_stamps_do_not_make_gaps_but_show_a_lost_packet() {
        let mut clock = clock(1e-3, Some(312));
        let stamp = |packet: u32| Seconds((f64::from(packet) * 20.0 - 6.5).round() / 1_000.0);
        for packet in 0..500 {
            assert_eq!(
                clock.place(stamp(packet), 960).missing,
                0,
                "packet {packet}"
            );
        }
        assert_eq!(clock.place(stamp(502), 960).missing, 1_920);
    }

    #[test]
    fn a_damaged_packet_that_gives_too_much_does_not_move_what_follows() {
        let mut clock = clock(1.0 / 48_000.0, None);
        clock.place(samples(0), 960);
        clock.place(samples(960), 2_880);
        let place = |clock: &mut Clock, packet: i64| {
            let place = clock.place(samples(packet * 960), 960);
            (place.missing, place.drop_front, clock.position())
        };
        assert_eq!(place(&mut clock, 2), (0, 960, 3_840));
        assert_eq!(place(&mut clock, 3), (0, 960, 3_840));
        assert_eq!(place(&mut clock, 4), (0, 0, 4_800));
    }

    #[test]
    fn a_stamp_years_ahead_is_not_believed() {
        let mut clock = clock(1e-3, None);
        clock.place(Seconds(0.0), 960);
        assert_eq!(clock.place(Seconds(1e9), 960).missing, 0);
        assert_eq!(clock.place(Seconds(1e9 + 0.02), 960).missing, 0);
    }

    #[test]
    fn a_clock_that_drifts_is_followed_without_gaps() {
        // 200 parts per million for an hour of 20 ms packets in whole milliseconds.
        let mut clock = clock(1e-3, None);
        for packet in 0..180_000 {
            let stamp = Seconds((f64::from(packet) * 20.004).round() / 1_000.0);
            assert_eq!(clock.place(stamp, 960).missing, 0, "packet {packet}");
        }
    }
}
