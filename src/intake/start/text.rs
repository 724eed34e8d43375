//! Finds a date with its time of day in a name or a metadata field.
//!
//! Read: year, month, day, hour, minute, second, in that order, the year with four digits, with
//! or without separators; a fraction and an offset after it; and seconds since 1970. Not read:
//! two-digit years and dates that begin with the day or the month, because those can be taken
//! for one another; times without seconds.

use super::Moment;
use crate::units::Seconds;
use jiff::civil::DateTime;
use jiff::tz::Offset;

/// The one moment that the text names; `None` where it names none, or several.
pub(in crate::intake) fn find(text: &str) -> Option<Moment> {
    let mut found: Option<Moment> = None;
    let mut at = 0;
    while at < text.len() {
        let rest = &text.as_bytes()[at..];
        let fresh = at == 0 || !text.as_bytes()[at - 1].is_ascii_digit();
        let Some((moment, used)) = fresh.then(|| Reader::new(rest).moment()).flatten() else {
            at += 1;
            continue;
        };
        if found.is_some_and(|other| other != moment) {
            return None;
        }
        found = Some(moment);
        at += used;
    }
    found.or_else(|| since_1970(text))
}

/// Reads forward over ASCII bytes.
struct Reader<'a> {
    rest: &'a [u8],
    whole: usize,
}

impl<'a> Reader<'a> {
    fn new(rest: &'a [u8]) -> Self {
        Self {
            rest,
            whole: rest.len(),
        }
    }

    fn moment(mut self) -> Option<(Moment, usize)> {
        let year = self.digits(4)?;
        let between = self.take_if(|c| b"-_.:/ ".contains(&c));
        let month = self.digits(2)?;
        self.same(between)?;
        let day = self.digits(2)?;
        if !(1990..=2100).contains(&year) {
            return None;
        }
        self.gap_before_time();
        let (hour, minute, second, colons) = self.time_of_day()?;
        let (nanosecond, resolution) = self.fraction();
        let offset = self.offset(colons);
        let civil = DateTime::new(
            year as i16,
            month as i8,
            day as i8,
            hour as i8,
            minute as i8,
            second as i8,
            nanosecond,
        )
        .ok()?;
        Some((
            Moment::new(civil, offset, resolution),
            self.whole - self.rest.len(),
        ))
    }

    /// A letter T, a separator or two, or the word "at".
    fn gap_before_time(&mut self) {
        for words in [
            &b" at "[..],
            b"_at_",
            b"-at-",
            b", ",
            b" - ",
            b"_-_",
            b"--",
            b"__",
        ] {
            if let Some(rest) = self.rest.strip_prefix(words) {
                self.rest = rest;
                return;
            }
        }
        self.take_if(|c| b"Tt_- .@,".contains(&c));
    }

    /// Hour, minute, second, and whether colons stand between them.
    fn time_of_day(&mut self) -> Option<(u32, u32, u32, bool)> {
        let mut hour = match self.digits(2) {
            Some(hour) => hour,
            // One digit only in front of a separator: "6.30.55 PM".
            None if self.rest.get(1).is_some_and(|c| b".:-".contains(c)) => self.digits(1)?,
            None => return None,
        };
        let between = self.take_if(|c| b"-_.:h ".contains(&c));
        let minute = self.digits(2)?;
        match between {
            Some(b'h') => self.same(Some(b'm'))?,
            between => self.same(between)?,
        }
        let second = self.digits(2)?;
        if between == Some(b'h') {
            self.take_if(|c| c == b's');
        }
        if let Some(afternoon) = self.half_of_day() {
            if !(1..=12).contains(&hour) {
                return None;
            }
            hour = hour % 12 + if afternoon { 12 } else { 0 };
        }
        // Digits that run on, other than a fraction, make it some other number.
        let run = self.rest.iter().take_while(|c| c.is_ascii_digit()).count();
        if !(run == 0 || (between.is_none() && (run == 3 || run == 6))) {
            return None;
        }
        // A leap second is the next minute's first to every sound file.
        (second <= 59 && minute <= 59 && hour <= 23).then_some((
            hour,
            minute,
            second,
            between == Some(b':'),
        ))
    }

    fn half_of_day(&mut self) -> Option<bool> {
        let mut after = self.rest;
        while let [b' ' | b'_', rest @ ..] = after {
            after = rest;
        }
        let [half @ (b'a' | b'A' | b'p' | b'P'), b'm' | b'M', rest @ ..] = after else {
            return None;
        };
        if rest.first().is_some_and(u8::is_ascii_alphanumeric) {
            return None;
        }
        self.rest = rest;
        Some(half.eq_ignore_ascii_case(&b'p'))
    }

    /// Three or six digits after a point or a comma, or run on. Not after a dash or an
    /// underscore: that is a counter.
    fn fraction(&mut self) -> (i32, Seconds) {
        let (point, digits) = match self.rest {
            [b'.' | b',', digits @ ..] => (1, digits),
            digits => (0, digits),
        };
        let run = digits.iter().take_while(|c| c.is_ascii_digit()).count();
        let resolution = match run {
            3 => Seconds(1e-3),
            6 => Seconds(1e-6),
            _ => return (0, Seconds(1.0)),
        };
        let value = digits[..run]
            .iter()
            .fold(0, |sum, c| sum * 10 + i32::from(c - b'0'));
        self.rest = &self.rest[point + run..];
        (value * 10_i32.pow(9 - run as u32), resolution)
    }

    /// `Z`, `UTC`, `+02:00`, `+0200`; a minus only after a time with colons, because in a name
    /// it may be any dash.
    fn offset(&mut self, colons: bool) -> Option<Offset> {
        let begin = self.rest;
        self.take_if(|c| b" _".contains(&c));
        for word in [&b"UTC"[..], b"GMT", b"utc", b"Z", b"z"] {
            if let Some(rest) = self.rest.strip_prefix(word)
                && !rest.first().is_some_and(u8::is_ascii_alphanumeric)
            {
                self.rest = rest;
                return Some(Offset::UTC);
            }
        }
        let sign = self.take_if(|c| c == b'+' || (colons && c == b'-'));
        let told = sign.and_then(|sign| {
            let hours = self.digits(2)?;
            self.take_if(|c| c == b':');
            let minutes = self.digits(2).unwrap_or(0);
            let seconds = (hours * 3_600 + minutes * 60) as i32;
            let known = hours <= 14 && minutes <= 59;
            known.then(|| if sign == b'-' { -seconds } else { seconds })
        });
        match told.map(Offset::from_seconds) {
            Some(Ok(offset)) => Some(offset),
            _ => {
                self.rest = begin;
                None
            }
        }
    }

    fn digits(&mut self, count: usize) -> Option<u32> {
        let (digits, rest) = self.rest.split_at_checked(count)?;
        let mut value = 0;
        for digit in digits {
            value = value * 10 + u32::from(digit.is_ascii_digit().then(|| digit - b'0')?);
        }
        self.rest = rest;
        Some(value)
    }

    fn take_if(&mut self, fits: impl Fn(u8) -> bool) -> Option<u8> {
        let (first, rest) = self.rest.split_first()?;
        fits(*first).then(|| {
            self.rest = rest;
            *first
        })
    }

    /// The separator must be the same as before.
    fn same(&mut self, before: Option<u8>) -> Option<()> {
        match before {
            None => Some(()),
            Some(c) => self.take_if(|next| next == c).map(|_| ()),
        }
    }
}

/// Ten digits alone are seconds since 1970, thirteen milliseconds. Only from 2014 to 2039:
/// smaller and larger numbers of that length may be a frequency in hertz (1240 to 1300 MHz and
/// 2300 MHz up are amateur bands).
fn since_1970(text: &str) -> Option<Moment> {
    let mut found = None;
    for run in text.split(|c: char| !c.is_ascii_digit()) {
        let (unit, resolution) = match run.len() {
            10 => (1_000_000_000, Seconds(1.0)),
            13 => (1_000_000, Seconds(1e-3)),
            _ => continue,
        };
        let nanoseconds = run.parse::<i128>().ok()? * unit;
        let seconds = nanoseconds / 1_000_000_000;
        if !(1_400_000_000..2_200_000_000).contains(&seconds) {
            continue;
        }
        if found.is_some() {
            return None;
        }
        found = Moment::from_unix_nanoseconds(nanoseconds, resolution);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::find;

    fn read(text: &str) -> Option<String> {
        find(text).map(|moment| moment.rfc3339())
    }

    #[test]
    fn dates_with_times_are_read() {
        for (text, told) in [
            ("20260412_183055", "2026-04-12T18:30:55"),
            ("QQ0TB 20260412-183055 output", "2026-04-12T18:30:55"),
            ("2026-04-12T18-30-55", "2026-04-12T18:30:55"),
            ("2026-04-12 18.30.55", "2026-04-12T18:30:55"),
            ("rec_2026_04_12_18_30_55", "2026-04-12T18:30:55"),
            ("20260412183055", "2026-04-12T18:30:55"),
            ("2026-04-12T18:30:55+02:00", "2026-04-12T18:30:55+02:00"),
            ("2026-04-12T18:30:55-0330", "2026-04-12T18:30:55-03:30"),
            ("20260412T183055Z", "2026-04-12T18:30:55Z"),
            ("20260412_183055_UTC_145000000", "2026-04-12T18:30:55Z"),
            ("20260412_183055.250", "2026-04-12T18:30:55.25"),
            ("20260412_183055123", "2026-04-12T18:30:55.123"),
            ("2026-04-12 at 6.30.55 PM", "2026-04-12T18:30:55"),
            ("2026-04-12 at 12.30.55 AM", "2026-04-12T00:30:55"),
            ("2026-04-12 18h30m55s", "2026-04-12T18:30:55"),
            ("20260412_183055_001", "2026-04-12T18:30:55"),
            ("chan3_1776018655", "2026-04-12T18:30:55Z"),
            ("1776018655250", "2026-04-12T18:30:55.25Z"),
        ] {
            assert_eq!(read(text).as_deref(), Some(told), "{text}");
        }
    }

    #[test]
    fn what_could_mean_something_else_is_not_read() {
        for text in [
            "260412_183055",
            "12-04-2026 18-30-55",
            "04122026_183055",
            "20261312_183055",
            "20260230_183055",
            "20260412_243055",
            "20260412_186055",
            "20260412",
            "2026-04-12 18.30",
            "20260412_1830",
            "120260412183055",
            "20260412_1830551",
            "1296000000",
            "2400000000",
            "446006250",
            "REC0042",
            "20260412_183055-20260412_184012",
            "1776018655 1776018699",
            "",
            "Ünïcode 20260412_18",
        ] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
