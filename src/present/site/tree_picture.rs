//! The decision tree, left to right: a test, and two ways on.

use crate::present::numbers::{percent, plain};
use crate::present::picture::drawing::{Anchor, Drawing};
use crate::present::picture::ink::{Role, Theme};
use crate::site::chain::hunt::Hunt;
use crate::site::chain::station::Side;
use crate::site::chain::tree::Tree;

/// Box of a test or of an end.
const BOX: (f64, f64) = (168.0, 38.0);
/// From column to column and from row to row.
const COLUMN: f64 = 236.0;
const ROW: f64 = 50.0;
const EDGE: f64 = 10.0;
/// From line to line below the tree.
const LINE: f64 = 16.0;

/// Draws; `theme` is `None` on a page that brings its own colours.
#[must_use]
pub fn svg(hunt: &Hunt, theme: Option<Theme>) -> String {
    let width = 2.0 * EDGE + COLUMN * depth(&hunt.tree) as f64 + BOX.0;
    let mut drawing = Drawing::new(width.max(420.0), "plan", theme);
    drawing.describe(
        "The plan of the search",
        "Where to put the load, and what each outcome means",
    );
    let mut sheet = Sheet {
        hunt,
        drawing,
        row: 0,
        number: 1,
    };
    sheet.branch(&hunt.tree, 0);
    let words = [
        "full line: the desense stays; broken line: it is gone",
        "percent: chance to get there",
    ];
    let below = 2.0 * EDGE + ROW * sheet.row as f64;
    sheet.drawing.height = below + LINE * words.len() as f64 + 2.0;
    for (n, words) in words.into_iter().enumerate() {
        let at = (EDGE, below + LINE * n as f64 + 10.0);
        sheet.drawing.text(Role::Soft, at, Anchor::Start, words);
    }
    sheet.drawing.to_svg()
}

fn depth(tree: &Tree) -> usize {
    match tree {
        Tree::Test { stays, gone, .. } => 1 + depth(stays).max(depth(gone)),
        _ => 0,
    }
}

/// Text cut to fit.
pub(super) fn clip(text: &str, room: f64) -> String {
    let most = (room / 6.2).floor().max(2.0) as usize;
    if text.chars().count() <= most {
        text.to_owned()
    } else {
        let kept: String = text.chars().take(most - 1).collect();
        format!("{}\u{2026}", kept.trim_end())
    }
}

struct Sheet<'a> {
    hunt: &'a Hunt,
    drawing: Drawing,
    row: usize,
    number: usize,
}

impl Sheet<'_> {
    /// Draws a branch and returns the height of its box's middle.
    fn branch(&mut self, tree: &Tree, column: usize) -> f64 {
        let x = EDGE + COLUMN * column as f64;
        match tree {
            Tree::Test {
                cut, stays, gone, ..
            } => {
                let number = self.number;
                self.number += 1;
                let upper = self.branch(stays, column + 1);
                let lower = self.branch(gone, column + 1);
                let middle = 0.5 * (upper + lower);
                self.way(x + BOX.0, middle, upper, stays.reach(), true);
                self.way(x + BOX.0, middle, lower, gone.reach(), false);
                let rigger = self.hunt.station.sections[*cut]
                    .test
                    .is_some_and(|t| t.rigger);
                let where_to = match self.hunt.station.sections[*cut].side {
                    Side::Transmit => "load after",
                    Side::Receive => "load antenna side of",
                };
                let with = if rigger { " (rigger)" } else { "" };
                let name = &self.hunt.station.sections[*cut].name;
                let first = format!("{number}. {where_to}{with}");
                self.card(
                    Role::Inferred,
                    x,
                    middle,
                    (Role::Soft, &first),
                    (Role::Label, name),
                );
                middle
            }
            Tree::Found { first, last, .. } => {
                let y = self.next_row();
                let name = |section: usize| self.hunt.station.sections[section].name.clone();
                let second = if first == last {
                    String::new()
                } else {
                    format!("to {}", name(*last))
                };
                let lines = ((Role::Label, &*name(*first)), (Role::Label, &*second));
                self.card(Role::HollowMark, x, y, lines.0, lines.1);
                y
            }
            Tree::Open { .. } => {
                let y = self.next_row();
                self.card(
                    Role::HollowMark,
                    x,
                    y,
                    (Role::Soft, "plan again"),
                    (Role::Soft, ""),
                );
                y
            }
        }
    }

    fn next_row(&mut self) -> f64 {
        let y = EDGE + ROW * (self.row as f64 + 0.5);
        self.row += 1;
        y
    }

    fn card(&mut self, role: Role, x: f64, middle: f64, first: (Role, &str), second: (Role, &str)) {
        self.drawing
            .rect(role, x, middle - 0.5 * BOX.1, BOX.0, BOX.1);
        let room = BOX.0 - 16.0;
        let lines = [first, second];
        let used = lines.iter().filter(|(_, text)| !text.is_empty()).count();
        let top = if used == 2 {
            middle - 4.0
        } else {
            middle + 4.0
        };
        for (i, (role, text)) in lines.into_iter().take(used).enumerate() {
            let at = (x + 8.0, top + 15.0 * i as f64);
            self.drawing
                .text(role, at, Anchor::Start, &clip(text, room));
        }
    }

    fn way(&mut self, x: f64, from: f64, to: f64, reach: f64, stays: bool) {
        let end = x + COLUMN - BOX.0;
        let bend = x + 14.0;
        let role = if stays { Role::Cut } else { Role::Median };
        self.drawing.polygon(
            role,
            &[(x, from), (bend, from), (bend, to), (end, to)],
            false,
        );
        let said = plain(&percent(reach));
        self.drawing
            .text(Role::Soft, (end - 6.0, to - 4.0), Anchor::End, &said);
    }
}
