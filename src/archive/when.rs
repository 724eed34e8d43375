//! Civil time of a recording, as its clock showed it.

use crate::units::Seconds;
use jiff::SignedDuration;
use jiff::civil::DateTime;
use jiff::fmt::temporal::Pieces;
use jiff::tz::Offset;

/// A date with its time of day, and the clock's offset from universal time where that is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct When {
    /// What the clock showed.
    pub civil: DateTime,
    /// Seconds east of universal time.
    pub offset_s: Option<i32>,
}

impl When {
    /// Reads RFC 3339 with or without its offset, as results carry it.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let pieces = Pieces::parse(text).ok()?;
        let civil = pieces.date().to_datetime(pieces.time()?);
        let offset_s = pieces
            .to_numeric_offset()
            .map(Offset::seconds)
            .or_else(|| text.ends_with('Z').then_some(0));
        Some(Self { civil, offset_s })
    }

    /// The same clock, `span` later.
    #[must_use]
    pub fn later(self, span: Seconds) -> Option<Self> {
        let nanoseconds = SignedDuration::try_from_secs_f64(span.get()).ok()?;
        let civil = self.civil.checked_add(nanoseconds).ok()?;
        Some(Self { civil, ..self })
    }

    /// From `earlier` to this; `None` where only one of them knows its offset.
    #[must_use]
    pub fn since(self, earlier: Self) -> Option<Seconds> {
        if self.offset_s.is_some() != earlier.offset_s.is_some() {
            return None;
        }
        let shift = self.offset_s.unwrap_or(0) - earlier.offset_s.unwrap_or(0);
        let shown = self.civil.duration_since(earlier.civil).as_secs_f64();
        Some(Seconds(shown - f64::from(shift)))
    }

    /// Microseconds from 1970-01-01 00:00 by the clock's own reckoning.
    #[must_use]
    pub fn civil_micros(self) -> i64 {
        let zero = DateTime::constant(1970, 1, 1, 0, 0, 0, 0);
        let since = self.civil.duration_since(zero).as_micros();
        i64::try_from(since).unwrap_or(i64::MAX)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> When {
        When::parse(text).unwrap()
    }

    #[test]
    fn offsets_are_kept_where_told() {
        assert_eq!(at("2026-04-12T18:30:55").offset_s, None);
        assert_eq!(at("2026-04-12T18:30:55Z").offset_s, Some(0));
        assert_eq!(at("2026-04-12T18:30:55.25-03:30").offset_s, Some(-12_600));
        assert_eq!(When::parse("2026-04-12"), None);
        assert_eq!(When::parse("soon"), None);
    }

    #[test]
    fn differences_count_offsets_and_refuse_to_guess_them() {
        let (here, there) = (at("2026-04-12T18:00:00+02:00"), at("2026-04-12T16:00:30Z"));
        assert_eq!(there.since(here), Some(Seconds(30.0)));
        assert_eq!(here.since(at("2026-04-12T18:00:00")), None);
    }

    #[test]
    fn later_passes_midnight_and_micros_count_from_1970() {
        let late = at("2025-12-31T23:59:59").later(Seconds(1.5)).unwrap();
        assert_eq!(late.civil.to_string(), "2026-01-01T00:00:00.5");
        assert_eq!(
            at("1970-01-02T00:00:00+05:00").civil_micros(),
            86_400_000_000
        );
        assert_eq!(at("2026-01-01T00:00:00").later(Seconds(f64::NAN)), None);
    }
}
