//! The last minutes on a terminal, drawn anew each second.

use super::clock::Clock;
use crate::cli::console::{Colour, fitted, painted, say, width};
use crate::cli::drawing;
use crate::live::{Watcher, lane};
use crate::present::live::{Flow, MARGINS, WatchJson, picture};
use crate::units::{Instant, Seconds};
use std::io::IsTerminal;

/// A cell of the lane.
const CELL: Seconds = Seconds(1.5);
/// Fewest and most columns that are drawn on.
const NARROWEST: usize = 16;
const WIDEST: usize = 84;
/// From drawing to drawing.
const EVERY: std::time::Duration = std::time::Duration::from_millis(500);

/// The view; nothing where standard output is no terminal.
pub struct View {
    on: bool,
    colour: bool,
    drawn: Option<std::time::Instant>,
}

impl View {
    /// On standard output.
    pub fn new(colour: Colour) -> Self {
        Self {
            on: std::io::stdout().is_terminal(),
            colour: painted(colour),
            drawn: None,
        }
    }

    /// Draws, if it is time.
    pub fn show(&mut self, watcher: &Watcher, clock: &Clock, flow: Flow) {
        let due = self.drawn.is_none_or(|at| at.elapsed() >= EVERY);
        if !self.on || !due {
            return;
        }
        self.drawn = Some(std::time::Instant::now());
        let width = width().clamp(NARROWEST, WIDEST);
        let cells = width - MARGINS;
        let now = watcher.now();
        let lane = watcher
            .seen()
            .map(|(start, check)| lane(start, check, now, CELL, cells));
        let said = |t: Instant| clock.say(t);
        let state = (watcher, flow);
        drawing::draw(&picture(lane.as_ref(), state, &said, self.colour, width));
    }

    /// A happening stands above the drawing.
    pub fn aside(&mut self, json: &WatchJson) {
        if self.on {
            let text = fitted(&json.sentence(), width()) + "\n";
            drawing::above(|| say(text.as_bytes()));
            self.drawn = None;
        }
    }

    /// Leaves the last drawing as it is.
    pub fn finish(&self) {
        drawing::leave();
    }
}
