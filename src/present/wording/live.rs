//! Words of a watch.

use crate::present::live::{WatchEvent, WatchJson};
use crate::present::numbers::{count, percent, plain};
use crate::present::tables::markers::Form;
use crate::units::SampleRate;

/// Label of a marker.
pub const DROP: &str = "carrier drop";
/// State on the terminal.
pub const CYCLING: &str = "THE REPEATER IS CYCLING";
/// State on the terminal.
pub const QUIET: &str = "no cycling";
/// State on the terminal.
pub const HANGS: &str = "the source hangs: nothing comes, and it has not ended";
/// State on the terminal.
pub const GONE: &str = "the source is gone; waiting for it to come back";
/// Before the first look.
pub const NOT_YET: &str = "listening; the first look comes in a few seconds";
/// Right end of the lane.
pub const NOW: &str = "now";
/// Under the lane.
pub const LEGEND: &str = "━\u{a0}carrier · ↺\u{a0}dropped and came straight back · ↓\u{a0}dropped";

/// Left end of the lane.
#[must_use]
pub fn ago(seconds: f64) -> String {
    format!("{:.0} s ago", seconds)
}

/// Where sound could not be kept.
#[must_use]
pub fn not_kept(fault: &str) -> String {
    format!("{fault}; this episode's sound is not kept, the watch goes on and alarms are given")
}

/// Where a form cannot hold sound at a rate, and another does.
#[must_use]
pub fn kept_otherwise(rate: SampleRate, asked: Form, instead: Form) -> String {
    format!(
        "sound at {} Hz is kept as {}: {} is written up to 96000 Hz",
        rate.hz(),
        instead.ending().to_uppercase(),
        asked.ending().to_uppercase()
    )
}

/// A happening as a sentence.
#[must_use]
pub fn sentence(json: &WatchJson) -> String {
    let at = json.at.replacen('T', " ", 1);
    let at = at.get(..19).unwrap_or(&at);
    let cycles = || {
        let back = json.came_back.unwrap_or(0);
        format!(
            "{back} of {} came straight back",
            count(json.drops.unwrap_or(0), "drop", "drops")
        )
    };
    let said = match json.event {
        WatchEvent::Started => "the watch begins".to_owned(),
        WatchEvent::Alarm => format!(
            "ALARM {}: self-desense ({}), {}",
            json.episode.unwrap_or(0),
            percent(json.probability.unwrap_or(f64::NAN)),
            cycles()
        ),
        WatchEvent::EpisodeEnded => {
            let kept = json.sound.as_ref().map(|s| format!("; sound in {s}"));
            format!(
                "episode {} is over: {}{}",
                json.episode.unwrap_or(0),
                cycles(),
                kept.unwrap_or_default()
            )
        }
        WatchEvent::NothingArrives => {
            "since then nothing at all has arrived: is the cable in, is the set on?".to_owned()
        }
        WatchEvent::SoundBack => "something arrives again".to_owned(),
        WatchEvent::SourceLost => "the source is gone".to_owned(),
        WatchEvent::SourceHangs => {
            "the source hangs: it delivers nothing, not even silence, and has not ended".to_owned()
        }
        WatchEvent::SourceBack => "the source is back".to_owned(),
        WatchEvent::Stopped => "the watch ends".to_owned(),
    };
    format!("{at}  {}", plain(&said))
}
