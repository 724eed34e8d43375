//! The beat in block characters: one bar a transmission, as tall as it was long.

use crate::check::Check;
use crate::present::beat::{After, Cycle, cycles};
use crate::present::wording::picture as words;
use crate::units::Seconds;

/// Bars and what they mean.
pub struct Skyline {
    /// Lines of bars, in order of time.
    pub rows: Vec<String>,
    /// What one reads from it.
    pub caption: String,
}

/// Eighths of a character cell.
const BLOCKS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
/// Lines of bars at most; after that the rest is left out and said so.
const MAX_ROWS: usize = 3;
/// Below this there is nothing to compare.
const FEWEST: usize = 2;

/// Draws it, `width` columns wide; `None` where fewer than two lengths are known.
pub fn draw(check: &Check, width: usize) -> Option<Skyline> {
    let heights = || cycles(check).filter_map(|c| c.height());
    let tallest = heights().max_by(Seconds::total_cmp)?;
    if heights().take(FEWEST).count() < FEWEST {
        return None;
    }
    let has = |test: fn(After) -> bool| cycles(check).any(|c| test(c.after));
    let all = check.timeline.drops.len();
    let shown: Vec<Cycle> = cycles(check).take(width * MAX_ROWS / 2).collect();
    let per_row = width / 2;
    let rows = shown
        .chunks(per_row)
        .map(|row| row.iter().map(|c| mark(c, tallest)).collect::<String>())
        .map(|row| row.trim_end().to_string())
        .collect();
    let mut caption = words::terminal_bars(
        tallest,
        has(|a| a == After::Cut),
        has(|a| matches!(a, After::Later(_))),
        has(|a| matches!(a, After::Unknown | After::Unjudged(_))),
    );
    if shown.len() < all {
        caption += &words::bars_left_out(all - shown.len());
    }
    Some(Skyline { rows, caption })
}

fn mark(cycle: &Cycle, tallest: Seconds) -> String {
    let bar = match cycle.height() {
        Some(height) => {
            let eighths = (height.get() / tallest.get() * 8.0).ceil().clamp(1.0, 8.0);
            BLOCKS[eighths as usize - 1]
        }
        None => '?',
    };
    let beside = match cycle.after {
        After::Later(_) => '.',
        After::Unknown | After::Unjudged(_) => '?',
        After::Back(_) | After::Cut => ' ',
    };
    format!("{bar}{beside}")
}
