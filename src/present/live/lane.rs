//! The lane on a terminal: loudness, carrier and drops, the newest at the right.

use crate::live::{Lane, Moment, Watcher};
use crate::present::text::paint::{Paint, Pen};
use crate::present::wording::live as words;
use crate::units::Instant;

/// Loudness from here up is drawn, to full scale.
const QUIETEST_DB: f32 = -60.0;
const BARS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];

/// The drawing; each line ends in a line feed.
#[must_use]
pub fn picture(
    lane: Option<&Lane>,
    watcher: &Watcher,
    say: &dyn Fn(Instant) -> String,
    colour: bool,
    cells: usize,
) -> String {
    let pen = Pen { colour };
    let mut out = String::new();
    let state = if watcher.cycling() {
        pen.paint(Paint::Headline, words::CYCLING)
    } else {
        words::QUIET.to_owned()
    };
    let now = say(watcher.now());
    let clock = now.get(11..19).unwrap_or(&now);
    out.push_str(&format!("  {clock}  {state}\n"));
    let Some(lane) = lane else {
        out.push_str(&format!("  {}\n", words::NOT_YET));
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
        out.push_str(&format!("  {text}\n"));
    }
    let span = lane.cell.get() * cells as f64;
    let left = words::ago(span);
    let room = cells.saturating_sub(left.chars().count() + words::NOW.len());
    out.push_str(&format!("  {left}{}{}\n", " ".repeat(room), words::NOW));
    out.push_str(&format!("  {}\n", words::LEGEND));
    out
}

fn bar(level_db: f32) -> char {
    let share = ((level_db - QUIETEST_DB) / -QUIETEST_DB).clamp(0.0, 0.999);
    BARS[(share * BARS.len() as f32) as usize]
}
