//! From the stream's seconds to the wall's clock. Of live sound, what arrives arrives now: a sound
//! card's own clock may drift as it likes. Of sound that is played back, the first sample's time
//! is stated.

use crate::error::{Error, Result};
use crate::units::Instant;
use jiff::civil::DateTime;
use jiff::{SignedDuration, Timestamp, ZonedDateTime};

/// Maps times.
pub struct Clock {
    anchor: Anchor,
}

enum Anchor {
    /// This moment of the stream was now.
    Live(Instant, ZonedDateTime),
    /// The stream's second 0 by the clock of the recording.
    Stated(DateTime, Instant),
}

impl Clock {
    /// `began` is the first sample's time, where the sound is played back.
    ///
    /// # Errors
    /// It is no date with a time of day.
    pub fn new(began: Option<&str>) -> Result<Self> {
        let anchor = match began {
            None => Anchor::Live(Instant(0.0), ZonedDateTime::now()),
            Some(text) => {
                let civil = text.parse().map_err(|_| Error::BadSetting {
                    place: "--began".into(),
                    what: format!("{text} is no date with a time of day"),
                    remedy: "write it like 2026-03-01T23:58:00".into(),
                })?;
                Anchor::Stated(civil, Instant(0.0))
            }
        };
        Ok(Self { anchor })
    }

    /// Whether the sound is played back, by a clock of its own.
    pub const fn is_stated(&self) -> bool {
        matches!(self.anchor, Anchor::Stated(..))
    }

    /// The stream has come so far, now.
    pub fn arrived(&mut self, at: Instant) {
        match &mut self.anchor {
            Anchor::Live(anchor, now) => {
                *anchor = at;
                *now = ZonedDateTime::now();
            }
            Anchor::Stated(_, last) => *last = at,
        }
    }

    /// The source is there again, at this moment of the stream.
    pub fn source_back(&mut self, at: Instant) {
        self.arrived(at);
    }

    /// A moment as RFC 3339; without an offset where none is known.
    pub fn say(&self, t: Instant) -> String {
        let back = |from: Instant| {
            SignedDuration::try_from_secs_f64((t - from).get()).unwrap_or(SignedDuration::ZERO)
        };
        match &self.anchor {
            Anchor::Live(anchor, now) => {
                let moment = now.timestamp().checked_add(back(*anchor));
                let moment = moment.unwrap_or(Timestamp::UNIX_EPOCH);
                let zoned = moment.to_zoned_datetime(now.time_zone().clone());
                zoned.strftime("%Y-%m-%dT%H:%M:%S%.3f%:z").to_string()
            }
            Anchor::Stated(civil, _) => {
                let moment = civil.checked_add(back(Instant(0.0))).unwrap_or(*civil);
                moment.strftime("%Y-%m-%dT%H:%M:%S%.3f").to_string()
            }
        }
    }

    /// Now, or the last moment of the stream where the sound is played back.
    pub fn say_now(&self) -> String {
        match &self.anchor {
            Anchor::Live(..) => {
                let now = ZonedDateTime::now();
                now.strftime("%Y-%m-%dT%H:%M:%S%.3f%:z").to_string()
            }
            Anchor::Stated(_, last) => self.say(*last),
        }
    }

    /// A moment as a file's name can hold it, and `check` reads it back.
    pub fn stamp(&self, t: Instant) -> String {
        let said = self.say(t);
        let (date, time) = said.split_once('T').unwrap_or((&said, ""));
        format!("{date}_{}", time.get(..8).unwrap_or(time).replace(':', "-"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sound_that_is_played_back_passes_midnight_by_its_own_clock() {
        let mut clock = Clock::new(Some("2026-12-31T23:58:00")).unwrap();
        clock.arrived(Instant(300.0));
        assert_eq!(clock.say(Instant(119.5)), "2026-12-31T23:59:59.500");
        assert_eq!(clock.say(Instant(121.0)), "2027-01-01T00:00:01.000");
        assert_eq!(clock.stamp(Instant(121.0)), "2027-01-01_00-00-01");
        assert_eq!(clock.say_now(), "2027-01-01T00:03:00.000");
        assert!(Clock::new(Some("yesterday")).is_err());
    }

    #[test]
    fn live_sound_is_dated_from_what_arrives_now() {
        let mut clock = Clock::new(None).unwrap();
        clock.arrived(Instant(1_000.0));
        let (now, before) = (clock.say(Instant(1_000.0)), clock.say(Instant(990.0)));
        let parse = |text: &str| text.parse::<Timestamp>().unwrap();
        let between = parse(&now).duration_since(parse(&before)).as_secs_f64();
        assert!((between - 10.0).abs() < 0.01, "{now} {before}");
    }
}
