//! Words in and under the picture.

use crate::present::facts::Facts;
use crate::present::numbers::{clock, count, plain, span};
use crate::present::picture::Bar;
use crate::timeline::types::ListeningMode;
use crate::tuning::present as limit;

/// Heading of the loudness panel.
pub const LOUDNESS: &str = "Loudness: mean, and loudest behind it";
/// Heading of the pitch panel.
pub const PITCH: &str = "Pitch, low to high: the fuller, the stronger";
/// Heading of the carrier lane.
pub const CARRIER: &str = "The repeater's carrier, and what happened";
/// The same where edges are inferred.
pub const CARRIER_INFERRED: &str =
    "The repeater's carrier as inferred from noise bursts: its edges are not audible";
/// The same where pauses were cut out.
pub const CARRIER_CUT: &str =
    "The repeater's carrier; the pauses were cut out at each double stroke";
/// Heading of the close-up.
pub const CLOSE_UP: &str = "A closer look, from";
/// Heading of the cycles.
pub const CYCLES: &str = "Cycle by cycle";
/// Heading of the silences.
pub const SILENCES: &str = "Silence after each drop, under its bar";
/// There is no strip.
pub const NO_STRIP: &str = "No sound to draw.";
/// There are no cycles.
pub const NO_DROPS: &str = "No carrier drop was heard, so there is no cycle to draw.";
/// Remark under a lane of shares.
pub const AS_SHARE: &str = "Height of the blocks: share of the time with a carrier.";

/// The beat in one sentence.
#[must_use]
pub fn beat_line(facts: &Facts) -> String {
    if facts.drops == 0 {
        return "No carrier drop was heard.".into();
    }
    if facts.trials == 0 {
        return format!(
            "{} heard; what followed cannot be told.",
            count(facts.drops, "carrier drop", "carrier drops")
        );
    }
    let drops = count(facts.trials, "drop", "drops");
    let mut said = format!("After {} of {drops} it came straight back", facts.came_back);
    if let Some(gap) = facts.gap_median.filter(|_| facts.came_back > 0) {
        said += &format!(", {} later", span(gap));
    }
    if let Some(period) = facts.beat() {
        said += &format!("; beat {}", span(period));
    }
    said + "."
}

/// Heading of the cycles with what a bar is.
#[must_use]
pub fn cycles_heading(bars: &[Bar], per_bar: usize, only_episode: bool) -> String {
    let mut said = if per_bar == 1 {
        format!("{CYCLES}: each bar is one transmission, measured from key-up")
    } else {
        format!("{CYCLES}: each bar is the middle of {per_bar} transmissions, its line their range")
    };
    if let (true, Some(first), Some(last)) = (only_episode, bars.first(), bars.last()) {
        let from = clock(first.cycle.key_up.unwrap_or(first.cycle.drop));
        said += &format!(
            "; only the stretch from {from} to {}",
            clock(last.cycle.drop)
        );
    }
    plain(&said)
}

/// What a layman should look for.
#[must_use]
pub fn how_to_read(bars: usize, mode: ListeningMode) -> &'static str {
    if bars < limit::FEW_BARS {
        "Too few bars to see a beat, or that there is none."
    } else if mode == ListeningMode::NoGaps {
        "Bars of one height: a timer sets the beat. Bars of every height: people or chance. The \
         silences between them are missing."
    } else {
        "Bars of one height: a timer sets the beat. Bars of every height: people or chance."
    }
}

/// Why no silence can be drawn.
#[must_use]
pub const fn no_silence(mode: ListeningMode) -> &'static str {
    match mode {
        ListeningMode::NoGaps => "The recorder cut them out; nothing can be said about them.",
        _ => "None could be measured.",
    }
}
