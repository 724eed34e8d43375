//! The lane on a terminal: loudness, carrier and drops, the newest at the right.

use crate::live::{Lane, Moment, Watcher};
use crate::present::text::paint::{Paint, Pen};
use crate::present::text::wrap::{hanging, width_of};
use crate::present::wording::live as words;
use crate::units::Instant;

/// Loudness from here up is drawn, to full scale.
const QUIETEST_DB: f32 = -60.0;
const BARS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];

/// Stands before each line, and between clock and state.
const INDENT: &str = "  ";
/// Columns that are left free beside the cells.
pub const MARGINS: usize = 2 * INDENT.len();

/// Whether sound comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flow {
    /// It does.
    Delivers,
    /// The source delivers nothing, and has not ended.
    Hangs,
    /// The source is away.
    Gone,
}

/// The drawing, no wider than `width` columns; each line ends in a line feed.
#[must_use]
pub fn picture(
    lane: Option<&Lane>,
    (watcher, flow): (&Watcher, Flow),
    say: &dyn Fn(Instant) -> String,
    colour: bool,
    width: usize,
) -> String {
    let pen = Pen { colour };
    let as_it_is = |line: &str| line.to_owned();
    let now = say(watcher.now());
    let clock = now.get(11..19).unwrap_or(&now);
    let painted = |line: &str| pen.paint(Paint::Headline, line);
    let (told, bold) = match flow {
        Flow::Hangs => (words::HANGS, true),
        Flow::Gone => (words::GONE, true),
        Flow::Delivers if watcher.cycling() => (words::CYCLING, true),
        Flow::Delivers => (words::QUIET, false),
    };
    let paint: &dyn Fn(&str) -> String = if bold { &painted } else { &as_it_is };
    let mut out = state(clock, told, width, paint);
    let Some(lane) = lane else {
        if flow == Flow::Delivers {
            out.push_str(&broken(words::NOT_YET, width, &as_it_is));
        }
        return out;
    };
    let row =
        |cell: &dyn Fn(&Moment) -> char| -> String { lane.moments.iter().map(cell).collect() };
    let loud = row(&|m| m.level_db.map_or(' ', bar));
    let carrier = row(&|m| match m.carrier {
        c if c >= 0.75 => '━',
        c if c >= 0.25 => '╺',
        _ if m.level_db.is_some() => '·',
        _ => ' ',
    });
    let drops = row(&|m| {
        if m.came_back {
            '↺'
        } else if m.dropped {
            '↓'
        } else {
            ' '
        }
    });
    for text in [loud, carrier, drops] {
        out.push_str(&format!("{INDENT}{text}\n"));
    }
    let cells = lane.moments.len();
    let span = lane.cell.get() * cells as f64;
    let left = words::ago(span);
    let room = cells.saturating_sub(left.chars().count() + words::NOW.len());
    let between = " ".repeat(room);
    out.push_str(&format!("{INDENT}{left}{between}{}\n", words::NOW));
    out + &broken(words::LEGEND, width, &as_it_is)
}

/// Clock and state on one line, or below each other where it is too short for both.
fn state(clock: &str, words: &str, width: usize, paint: &dyn Fn(&str) -> String) -> String {
    let head = format!("{INDENT}{clock}{INDENT}");
    if width_of(&head) + width_of(words) <= width {
        format!("{head}{}\n", paint(words))
    } else {
        format!("{INDENT}{clock}\n{}", broken(words, width, paint))
    }
}

/// Words broken into lines that fit.
fn broken(words: &str, width: usize, paint: &dyn Fn(&str) -> String) -> String {
    let lines = hanging("", "", words, width.saturating_sub(INDENT.len()));
    let lines = lines
        .iter()
        .map(|line| format!("{INDENT}{}\n", paint(line)));
    lines.collect()
}

fn bar(level_db: f32) -> char {
    let share = ((level_db - QUIETEST_DB) / -QUIETEST_DB).clamp(0.0, 0.999);
    BARS[(share * BARS.len() as f32) as usize]
}
