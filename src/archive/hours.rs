//! What each hour of each day held: heard, unusable, cycling.

use super::when::When;
use crate::units::Seconds;
use jiff::ToSpan;
use jiff::civil::DateTime;
use std::collections::BTreeMap;

/// An hour by the clock of the recordings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hour {
    /// Year.
    pub year: i16,
    /// 1 to 12.
    pub month: i8,
    /// 1 to 31.
    pub day: i8,
    /// 0 to 23.
    pub hour: i8,
}

/// Seconds of one hour.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Held {
    /// Heard, of use or not.
    pub recorded: Seconds,
    /// Of no use.
    pub unusable: Seconds,
    /// In an episode of self-desense.
    pub cycling: Seconds,
    /// Episodes of self-desense that began.
    pub begun: usize,
}

impl Held {
    /// Time in which something would have been seen.
    #[must_use]
    pub fn heard(&self) -> Seconds {
        Seconds((self.recorded.get() - self.unusable.get()).max(0.0))
    }
}

/// Hours in order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Hours(pub BTreeMap<Hour, Held>);

/// What a span of time adds to the hours that it touches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A recording.
    Recorded,
    /// A recording of no use.
    Unusable,
    /// An episode.
    Cycling,
}

impl Hours {
    /// Spreads a span over its hours; `share` of it counts.
    pub fn add(&mut self, from: When, length: Seconds, share: f64, kind: Kind) {
        let mut left = length.get();
        let mut now = from.civil;
        while left > 0.0 {
            let into = f64::from(now.minute()) * 60.0
                + f64::from(now.second())
                + f64::from(now.subsec_nanosecond()) * 1e-9;
            let part = left.min(3_600.0 - into);
            let held = self.0.entry(hour_of(now)).or_default();
            let sum = match kind {
                Kind::Recorded => &mut held.recorded,
                Kind::Unusable => &mut held.unusable,
                Kind::Cycling => &mut held.cycling,
            };
            *sum = Seconds(sum.get() + part * share);
            left -= 3_600.0 - into;
            let Some(next) = next_hour(now) else { return };
            now = next;
        }
    }

    /// Counts an episode where it begins.
    pub fn begin(&mut self, at: When) {
        self.0.entry(hour_of(at.civil)).or_default().begun += 1;
    }
}

fn hour_of(at: DateTime) -> Hour {
    Hour {
        year: at.year(),
        month: at.month(),
        day: at.day(),
        hour: at.hour(),
    }
}

fn next_hour(at: DateTime) -> Option<DateTime> {
    let full = at.date().at(at.hour(), 0, 0, 0);
    full.checked_add(1.hour()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_is_shared_out_among_its_hours() {
        let mut hours = Hours::default();
        let from = When::parse("2026-02-28T22:30:00").unwrap();
        hours.add(from, Seconds(2.0 * 3_600.0), 1.0, Kind::Recorded);
        hours.add(from, Seconds(1_800.0), 0.5, Kind::Unusable);
        let list: Vec<(i8, i8, f64)> = (hours.0.iter())
            .map(|(h, held)| (h.day, h.hour, held.heard().get()))
            .collect();
        assert_eq!(list, [(28, 22, 900.0), (28, 23, 3_600.0), (1, 0, 1_800.0)]);
    }
}
