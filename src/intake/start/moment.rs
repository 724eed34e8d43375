//! One civil time, with its offset where that is known.

use crate::units::Seconds;
use jiff::civil::DateTime;
use jiff::tz::Offset;

/// A date with its time of day, as somebody's clock showed it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::intake) struct Moment {
    civil: DateTime,
    offset: Option<Offset>,
    /// How finely it is told.
    pub resolution: Seconds,
}

impl Moment {
    /// A civil time whose last told digit stands for `resolution`.
    pub fn new(civil: DateTime, offset: Option<Offset>, resolution: Seconds) -> Self {
        Self {
            civil,
            offset,
            resolution,
        }
    }

    /// Nanoseconds since 1970 in universal time.
    pub fn from_unix_nanoseconds(nanoseconds: i128, resolution: Seconds) -> Option<Self> {
        let stamp = jiff::Timestamp::from_nanosecond(nanoseconds).ok()?;
        Some(Self::new(
            Offset::UTC.to_datetime(stamp),
            Some(Offset::UTC),
            resolution,
        ))
    }

    /// RFC 3339, without its offset where none is known.
    pub fn rfc3339(&self) -> String {
        let civil = self.civil;
        match self.offset {
            None => civil.to_string(),
            Some(offset) if offset.is_zero() => format!("{civil}Z"),
            Some(offset) => {
                let minutes = offset.seconds() / 60;
                let sign = if minutes < 0 { '-' } else { '+' };
                let minutes = minutes.abs();
                format!("{civil}{sign}{:02}:{:02}", minutes / 60, minutes % 60)
            }
        }
    }

    /// The same moment, `span` later.
    pub fn later(&self, span: Seconds) -> Option<Self> {
        let nanoseconds = jiff::SignedDuration::from_nanos((span.0 * 1e9).round() as i64);
        Some(Self {
            civil: self.civil.checked_add(nanoseconds).ok()?,
            ..*self
        })
    }

    /// Time since an earlier moment; `None` where only one of them knows its offset.
    pub fn since(&self, earlier: &Self) -> Option<Seconds> {
        if self.offset.is_some() != earlier.offset.is_some() {
            return None;
        }
        let nanoseconds = self.nanoseconds()? - earlier.nanoseconds()?;
        Some(Seconds(nanoseconds as f64 * 1e-9))
    }

    /// Seconds since its day began.
    pub fn second_of_day(&self) -> f64 {
        let time = self.civil.time();
        f64::from(time.hour()) * 3_600.0
            + f64::from(time.minute()) * 60.0
            + f64::from(time.second())
    }

    /// Whether it falls on a whole second.
    pub fn is_whole_second(&self) -> bool {
        self.civil.subsec_nanosecond() == 0
    }

    /// The same moment with the fraction of its second known better.
    pub fn refined(&self, fraction: Seconds, resolution: Seconds) -> Option<Self> {
        let refined = self.later(fraction)?;
        Some(Self {
            resolution,
            ..refined
        })
    }

    fn nanoseconds(&self) -> Option<i128> {
        let offset = self.offset.unwrap_or(Offset::UTC);
        Some(offset.to_timestamp(self.civil).ok()?.as_nanosecond())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::datetime;

    fn at(hour: i8, offset_h: Option<i8>) -> Moment {
        let offset = offset_h.map(Offset::constant);
        Moment::new(datetime(2026, 4, 12, hour, 30, 55, 0), offset, Seconds(1.0))
    }

    #[test]
    fn the_offset_is_written_only_where_it_is_known() {
        assert_eq!(at(18, None).rfc3339(), "2026-04-12T18:30:55");
        assert_eq!(at(18, Some(0)).rfc3339(), "2026-04-12T18:30:55Z");
        assert_eq!(at(18, Some(-5)).rfc3339(), "2026-04-12T18:30:55-05:00");
    }

    #[test]
    fn offsets_count_in_differences() {
        assert_eq!(at(18, Some(2)).since(&at(16, Some(0))), Some(Seconds(0.0)));
        assert_eq!(at(18, None).since(&at(16, None)), Some(Seconds(7_200.0)));
        assert_eq!(at(18, None).since(&at(16, Some(0))), None);
    }
}
