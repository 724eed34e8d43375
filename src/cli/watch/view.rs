//! The last minutes on a terminal, drawn anew each second.

use super::clock::Clock;
use crate::cli::console::{Colour, painted, width};
use crate::live::{Watcher, lane};
use crate::present::live::{WatchJson, picture};
use crate::units::{Instant, Seconds};
use std::io::{IsTerminal, Write};

/// A cell of the lane.
const CELL: Seconds = Seconds(1.5);
/// From drawing to drawing.
const EVERY: std::time::Duration = std::time::Duration::from_millis(500);

/// The view; nothing where standard output is no terminal.
pub struct View {
    on: bool,
    colour: bool,
    lines: usize,
    drawn: Option<std::time::Instant>,
}

impl View {
    /// On standard output.
    pub fn new(colour: Colour) -> Self {
        Self {
            on: std::io::stdout().is_terminal(),
            colour: painted(colour),
            lines: 0,
            drawn: None,
        }
    }

    /// Draws, if it is time.
    pub fn show(&mut self, watcher: &Watcher, clock: &Clock) {
        let due = self.drawn.is_none_or(|at| at.elapsed() >= EVERY);
        if !self.on || !due {
            return;
        }
        self.drawn = Some(std::time::Instant::now());
        let cells = width().clamp(20, 84) - 4;
        let now = watcher.now();
        let lane = watcher
            .seen()
            .map(|(start, check)| lane(start, check, now, CELL, cells));
        let said = |t: Instant| clock.say(t);
        let text = picture(lane.as_ref(), watcher, &said, self.colour, cells);
        let text = self.over() + &text;
        self.lines = text.matches('\n').count();
        self.write(&text);
    }

    /// Back to where the last drawing began.
    fn over(&self) -> String {
        if self.lines == 0 {
            String::new()
        } else {
            format!("\x1b[{}F\x1b[J", self.lines)
        }
    }

    /// A happening stands above the drawing.
    pub fn aside(&mut self, json: &WatchJson) {
        if self.on {
            let text = format!("{}{}\n", self.over(), json.sentence());
            self.lines = 0;
            self.drawn = None;
            self.write(&text);
        }
    }

    /// Leaves the last drawing as it is.
    pub fn finish(&mut self) {
        self.lines = 0;
    }

    fn write(&self, text: &str) {
        let mut out = std::io::stdout().lock();
        // A terminal that is gone is no reason to stop watching.
        let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    }
}
