//! Moments as the database keeps them: microseconds since 1970, UTC.

use jiff::Timestamp;

/// One second.
pub const SECOND: i64 = 1_000_000;
/// One minute.
pub const MINUTE: i64 = 60 * SECOND;
/// One hour.
pub const HOUR: i64 = 60 * MINUTE;
/// One day.
pub const DAY: i64 = 24 * HOUR;

/// Now.
#[must_use]
pub fn now() -> i64 {
    Timestamp::now().as_microsecond()
}

/// RFC 3339 to the second; the empty text for a moment that no calendar has.
#[must_use]
pub fn rfc3339(moment: i64) -> String {
    Timestamp::from_microsecond(moment - moment.rem_euclid(SECOND))
        .map(|t| t.to_string())
        .unwrap_or_default()
}

/// Year and month, such as 2031-05.
#[must_use]
pub fn month(moment: i64) -> String {
    rfc3339(moment).chars().take(7).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_are_written_to_the_second() {
        assert_eq!(rfc3339(1_500_000_000_999_999), "2017-07-14T02:40:00Z");
        assert_eq!(rfc3339(0), "1970-01-01T00:00:00Z");
        assert_eq!(month(1_500_000_000_000_000), "2017-07");
        assert_eq!(rfc3339(i64::MAX), "");
    }
}
