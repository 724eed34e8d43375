//! Numbers for people. A number and its unit are held together by a no-break space, which
//! [`plain`] turns into an ordinary one where the output has no use for it.

use crate::units::{Decibels, Hertz, Instant, Seconds};

/// No-break space between a number and its unit.
const NBSP: char = '\u{a0}';

/// `0.21 s`, `12.3 s`, `2 min 05 s`, `3 h 07 min`; an unknown or unusable number is `?`.
#[must_use]
pub fn span(length: Seconds) -> String {
    let s = length.get();
    if !s.is_finite() {
        return "?".into();
    }
    let sign = if s < 0.0 { "-" } else { "" };
    let a = s.abs();
    if a < 9.995 {
        format!("{sign}{a:.2}{NBSP}s")
    } else if a < 99.95 {
        format!("{sign}{a:.1}{NBSP}s")
    } else if a < 3599.5 {
        let whole = a.round() as u64;
        format!(
            "{sign}{}{NBSP}min{NBSP}{:02}{NBSP}s",
            whole / 60,
            whole % 60
        )
    } else {
        let minutes = (a / 60.0).round() as u64;
        format!(
            "{sign}{}{NBSP}h{NBSP}{:02}{NBSP}min",
            minutes / 60,
            minutes % 60
        )
    }
}

/// A moment in the recording: `0:07.3`, `12:30.0`, `23:05:10`.
#[must_use]
pub fn clock(t: Instant) -> String {
    let s = t.get();
    if !s.is_finite() {
        return "?".into();
    }
    let sign = if s < 0.0 { "-" } else { "" };
    let tenths = (s.abs() * 10.0).round() as u64;
    let (whole, tenth) = (tenths / 10, tenths % 10);
    let (h, m, s) = (whole / 3600, whole / 60 % 60, whole % 60);
    if h > 0 {
        format!("{sign}{h}:{m:02}:{s:02}")
    } else {
        format!("{sign}{m}:{s:02}.{tenth}")
    }
}

/// `91 %`; never rounds up to certainty or down to impossibility.
#[must_use]
pub fn percent(share: f64) -> String {
    if !share.is_finite() {
        "?".into()
    } else if share > 0.0 && share < 0.01 {
        format!("under{NBSP}1{NBSP}%")
    } else if share < 1.0 && share > 0.99 {
        format!("over{NBSP}99{NBSP}%")
    } else {
        format!("{:.0}{NBSP}%", share * 100.0)
    }
}

/// `4.2 dB`.
#[must_use]
pub fn db(level: Decibels) -> String {
    if level.get().is_finite() {
        format!("{:.1}{NBSP}dB", level.get())
    } else {
        "?".into()
    }
}

/// `103.5 Hz`, `3.2 kHz`.
#[must_use]
pub fn hertz(frequency: Hertz) -> String {
    let hz = frequency.get();
    if !hz.is_finite() {
        "?".into()
    } else if hz.abs() >= 1000.0 {
        format!("{:.1}{NBSP}kHz", hz / 1000.0)
    } else {
        format!("{hz:.1}{NBSP}Hz")
    }
}

/// `1 drop`, `2 drops`.
#[must_use]
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n}{NBSP}{}", if n == 1 { one } else { many })
}

/// The same with ordinary spaces.
#[must_use]
pub fn plain(text: &str) -> String {
    text.replace(NBSP, " ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_read_as_people_say_them() {
        let said = |s| plain(&span(Seconds(s)));
        assert_eq!(said(0.208), "0.21 s");
        assert_eq!(said(9.996), "10.0 s");
        assert_eq!(said(99.96), "1 min 40 s");
        assert_eq!(said(125.2), "2 min 05 s");
        assert_eq!(said(3599.7), "1 h 00 min");
        assert_eq!(said(86_400.0), "24 h 00 min");
        assert_eq!(said(-0.5), "-0.50 s");
        assert_eq!(said(f64::NAN), "?");
    }

    #[test]
    fn clocks_carry_into_the_next_place() {
        assert_eq!(clock(Instant(59.97)), "1:00.0");
        assert_eq!(clock(Instant(3599.96)), "1:00:00");
        assert_eq!(clock(Instant(7.31)), "0:07.3");
    }

    #[test]
    fn certainty_is_never_rounded_into_being() {
        assert_eq!(plain(&percent(0.9996)), "over 99 %");
        assert_eq!(plain(&percent(0.0004)), "under 1 %");
        assert_eq!(plain(&percent(1.0)), "100 %");
        assert_eq!(plain(&percent(0.0)), "0 %");
        assert_eq!(plain(&percent(31.0 / 34.0)), "91 %");
    }
}
