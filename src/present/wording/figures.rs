//! The table of numbers: what each is called and how it is said.

use crate::check::Check;
use crate::intake::recording::ChannelChoice;
use crate::present::facts::Facts;
use crate::present::numbers::{clock, count, db, hertz, percent, span};
use crate::present::wording::{causes, listening};
use crate::tuning::present as limit;
use crate::units::Decibels;

/// One line of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// What it is.
    pub name: &'static str,
    /// Its value, said for people.
    pub value: String,
}

/// Everything measured, in the order in which a keeper asks.
#[must_use]
pub fn figures(check: &Check, facts: &Facts) -> Vec<Figure> {
    let mut list = Vec::new();
    let mut add = |name, value| list.push(Figure { name, value });
    add("Heard", heard(facts));
    if let Some(value) = came_back(check) {
        add("Came straight back", value);
    }
    if let Some(gap) = facts.gap_median {
        add(
            "Silence before coming back",
            with_scatter(span(gap), facts.gap_cv),
        );
    }
    if let Some(period) = facts.beat() {
        add(
            "Beat, key-up to key-up",
            with_scatter(span(period), facts.period_cv),
        );
    }
    if let Some(hang) = facts.hang {
        let tails = count(hang.count, "tail", "tails");
        let value = format!(
            "{} (95 % interval {} to {}, from {tails})",
            span(hang.estimate),
            span(hang.low),
            span(hang.high)
        );
        add("Hang time", value);
    }
    if let Some(blip) = facts.blip_median {
        add("User held after key-up", span(blip));
    }
    if let Some(quieting) = facts.quieting_median {
        add(
            "User's quieting before the loss",
            quieting_said(quieting, facts.quieting_count),
        );
    }
    if let Some(tone) = check.timeline.ctcss {
        add("Sub-audible tone", hertz(tone));
    }
    add("Listening", listening::mode(facts.mode).into());
    if let Some(bandwidth) = check.timeline.listening.bandwidth {
        add("Sound reaches up to", hertz(bandwidth));
    }
    if let Some(floor) = check.timeline.listening.noise_floor {
        add(
            "Quietest moments",
            if floor.get() <= limit::DIGITAL_SILENCE_DBFS {
                "digital silence".into()
            } else {
                format!("{:.0}\u{a0}dB below full scale", -floor.get())
            },
        );
    }
    if let Some(hang) = check.stated.hang {
        add("You stated", format!("hang time {}", span(hang)));
    }
    if let Some(mode) = check.stated.mode {
        add("You stated", listening::mode_short(mode).into());
    }
    list
}

fn heard(facts: &Facts) -> String {
    format!(
        "{}, {} in {}",
        count(facts.transmissions, "transmission", "transmissions"),
        count(facts.drops, "carrier drop", "carrier drops"),
        span(facts.duration)
    )
}

fn came_back(check: &Check) -> Option<String> {
    let rekey = check.verdict.rekey.filter(|r| r.trials > 0)?;
    Some(format!(
        "{} of {} ({}; 95 % interval {} to {})",
        rekey.came_back,
        count(rekey.trials, "drop", "drops"),
        percent(rekey.fraction),
        percent(rekey.low),
        percent(rekey.high)
    ))
}

fn with_scatter(value: String, cv: Option<f64>) -> String {
    match cv {
        Some(cv) => format!("{value} (scatter {})", percent(cv)),
        None => value,
    }
}

fn quieting_said(quieting: Decibels, from: usize) -> String {
    let judged = if quieting.get() >= limit::FAIR_QUIETING_DB {
        "fair and usable"
    } else {
        "noisy; 20 dB is fair"
    };
    let from = match from {
        1 => "measured once".into(),
        _ => format!("middle of {from}"),
    };
    format!("{} ({judged}; {from})", db(quieting))
}

/// One line for each stretch of the recording, where there is more than one.
#[must_use]
pub fn episodes(check: &Check) -> Vec<String> {
    let list = &check.verdict.episodes;
    if list.len() < 2 {
        return Vec::new();
    }
    list.iter()
        .map(|e| {
            format!(
                "{} to {}: {}, {}",
                clock(e.start),
                clock(e.end),
                causes::trade_word(e.label),
                count(e.drops, "drop", "drops")
            )
        })
        .collect()
}

/// The file in one line.
#[must_use]
pub fn recording(check: &Check) -> String {
    let info = &check.recording;
    let channels = match (info.channels, info.channel_choice) {
        (1, _) => "mono".to_string(),
        (2, ChannelChoice::Only(0)) => "stereo with the radio on the left".to_string(),
        (2, ChannelChoice::Only(_)) => "stereo with the radio on the right".to_string(),
        (2, _) => "stereo".to_string(),
        (n, ChannelChoice::Only(one)) => format!("channel {} of {n}", one + 1),
        (n, _) => format!("{n}\u{a0}channels"),
    };
    let form = if info.codec == info.container {
        info.codec.clone()
    } else {
        format!("{} in {}", info.codec, info.container)
    };
    let mut said = format!(
        "{}, {form}, {}, {channels}",
        span(info.duration),
        hertz(crate::units::Hertz(f64::from(info.sample_rate.hz())))
    );
    if let Some(start) = &info.started_at {
        said += &format!(", started {start}");
    }
    if let Some(clips) = &info.clips {
        said += &format!(
            ", put together from {}",
            count(clips.count, "clip", "clips")
        );
    }
    said
}
