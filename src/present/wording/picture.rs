//! Words in and under the picture.

use crate::present::facts::Facts;
use crate::present::numbers::{clock, count, plain, span};
use crate::present::picture::{Bar, Mark};
use crate::timeline::types::ListeningMode;
use crate::tuning::present as limit;
use crate::units::Seconds;

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
pub const SILENCES: &str = "Silence after each drop; shaded: as quick as circuits are";
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

/// Stands in the lane where there is no carrier.
#[must_use]
pub const fn no_carrier(mode: ListeningMode) -> &'static str {
    match mode {
        ListeningMode::NotFm => "nothing of an FM receiver in it",
        ListeningMode::BurstsOnly => "a carrier cannot be told from none here",
        _ => "no carrier was heard",
    }
}

/// A mark, in the legend.
#[must_use]
pub const fn mark(mark: Mark) -> &'static str {
    match mark {
        Mark::Up => "carrier comes up",
        Mark::Down => "carrier drops",
        Mark::Loss => "repeater loses the user",
        Mark::Courtesy => "courtesy tone",
        Mark::Ident => "identifier",
        Mark::Tone => "other tone",
    }
}

/// A part of a bar, in the legend.
pub const BLIP: &str = "user is heard, up to the first loss";
/// Likewise.
pub const BETWEEN: &str = "user comes and goes";
/// Likewise.
pub const TAIL: &str = "tail: nobody, the hang timer runs";
/// Likewise.
pub const UNDIVIDED: &str = "carrier, not told apart";
/// Likewise.
pub const NO_LENGTH: &str = "length not known";
/// Likewise.
pub const GAP: &str = "silence, then straight back";
/// A mark in the panel of silences, in the legend.
pub const BACK: &str = "came straight back";
/// Likewise.
pub const LATER: &str = "came up later";
/// A mark under a bar, in the legend.
pub const NOT_BACK: &str = "did not come straight back";
/// Likewise.
pub const UNJUDGED: &str = "cannot be told";
/// The dashed line, in the legend.
pub const MEDIAN: &str = "middle beat";

/// What the bars on a terminal are.
#[must_use]
pub fn terminal_bars(tallest: Seconds, cut: bool, some_later: bool, some_unknown: bool) -> String {
    let what = if cut {
        ""
    } else {
        " with the silence until it came straight back"
    };
    let mut said = format!(
        "Each bar is one transmission{what}, the tallest {}.",
        span(tallest)
    );
    if some_later {
        said += " A dot: it did not come straight back.";
    }
    if some_unknown {
        said += " ?: not known.";
    }
    said + " Bars of one height are a timer's beat, bars of every height are people or chance."
}

/// Bars that found no room.
#[must_use]
pub fn bars_left_out(count_left_out: usize) -> String {
    format!(
        " The other {} are not shown.",
        count(count_left_out, "bar", "bars")
    )
}
