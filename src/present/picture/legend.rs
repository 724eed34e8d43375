//! What the shapes mean, for those that occur.

use super::drawing::{Anchor, Drawing};
use super::ink::Role;
use super::marks::{Mark, mark};
use super::sheet::text_px;
use super::skyline::Bars;
use crate::present::beat::After;
use crate::present::wording::picture as words;

/// One entry.
enum Key {
    Event(Mark),
    Fill(Role, &'static str),
    Dot(&'static str),
    Square(&'static str),
    Lozenge(&'static str),
    Dashed(&'static str),
}

/// Entries for what was drawn.
fn keys(marks: &[Mark], bars: &Bars, beat: bool) -> Vec<Key> {
    let mut keys: Vec<Key> = marks.iter().copied().map(Key::Event).collect();
    keys.extend(bar_keys(&[bars]));
    let cycles = || bars.list.iter().map(|b| &b.cycle);
    if cycles().any(|c| matches!(c.after, After::Back(_))) {
        keys.push(Key::Dot(words::BACK));
    }
    if cycles().any(|c| matches!(c.after, After::Later(_))) {
        keys.push(Key::Square(words::LATER));
    }
    if cycles().any(|c| matches!(c.after, After::Unjudged(_))) {
        keys.push(Key::Lozenge(words::UNJUDGED));
    }
    if beat {
        keys.push(Key::Dashed(words::MEDIAN));
    }
    keys
}

/// Entries for the parts of the bars.
fn bar_keys(panels: &[&Bars]) -> Vec<Key> {
    let mut keys = Vec::new();
    let cycles = || panels.iter().flat_map(|b| &b.list).map(|b| &b.cycle);
    let parts = || cycles().filter_map(|c| c.parts);
    if parts().any(|p| p.blip.is_some() && p.tail.is_some()) {
        keys.push(Key::Fill(Role::Blip, words::BLIP));
        if parts().any(|p| match (p.blip, p.tail) {
            (Some(blip), Some(tail)) => (p.on - blip - tail).get() > 0.01 * p.on.get(),
            _ => false,
        }) {
            keys.push(Key::Fill(Role::Between, words::BETWEEN));
        }
        keys.push(Key::Fill(Role::Tail, words::TAIL));
    }
    if parts().any(|p| p.blip.is_none() || p.tail.is_none()) {
        keys.push(Key::Fill(Role::Carrier, words::UNDIVIDED));
    }
    if cycles().any(|c| c.parts.is_none()) {
        keys.push(Key::Fill(Role::Inferred, words::NO_LENGTH));
    }
    if cycles().any(|c| matches!(c.after, After::Back(_))) {
        let gap = if panels.iter().all(|bars| bars.step >= 5.0) {
            Role::Gap
        } else {
            Role::GapThin
        };
        keys.push(Key::Fill(gap, words::GAP));
    }
    keys
}

impl Key {
    const fn words(&self) -> &'static str {
        match self {
            Self::Event(kind) => words::mark(*kind),
            Self::Fill(_, words)
            | Self::Dot(words)
            | Self::Square(words)
            | Self::Lozenge(words)
            | Self::Dashed(words) => words,
        }
    }

    fn draw(&self, drawing: &mut Drawing, x: f64, y: f64) {
        let at = (x + 6.0, y);
        match self {
            Self::Event(kind) => mark(drawing, *kind, at),
            Self::Fill(role, _) => drawing.rect(*role, x, y - 5.0, 12.0, 10.0),
            Self::Dot(_) => drawing.circle(Role::Mark, at, 3.4),
            Self::Square(_) => drawing.rect(Role::HollowMark, x + 2.6, y - 3.4, 6.8, 6.8),
            Self::Lozenge(_) => {
                let points = [
                    (x + 6.0, y - 4.4),
                    (x + 9.4, y),
                    (x + 6.0, y + 4.4),
                    (x + 2.6, y),
                ];
                drawing.polygon(Role::HollowMark, &points, true);
            }
            Self::Dashed(_) => drawing.line(Role::Median, (x - 1.0, y), (x + 13.0, y)),
        }
    }
}

/// Draws the legend from `y` downwards, in as many lines as it needs; returns its foot.
pub fn draw(
    drawing: &mut Drawing,
    marks: &[Mark],
    bars: &Bars,
    beat: bool,
    span: (f64, f64),
    y: f64,
) -> f64 {
    lay(drawing, &keys(marks, bars, beat), span, y)
}

/// The same for panels of bars, under which these outcomes stand.
pub fn of_outcomes(
    drawing: &mut Drawing,
    panels: &[&Bars],
    outcomes: &[Option<bool>],
    span: (f64, f64),
    y: f64,
) -> f64 {
    let mut keys = bar_keys(panels);
    let marks = [
        (Some(true), Key::Dot(words::BACK)),
        (Some(false), Key::Square(words::NOT_BACK)),
        (None, Key::Lozenge(words::UNJUDGED)),
    ];
    let drawn = marks.into_iter().filter(|(o, _)| outcomes.contains(o));
    keys.extend(drawn.map(|(_, key)| key));
    lay(drawing, &keys, span, y)
}

fn lay(drawing: &mut Drawing, keys: &[Key], (x0, x1): (f64, f64), y: f64) -> f64 {
    let (mut x, mut row) = (x0, y + 8.0);
    for key in keys {
        let width = 17.0 + text_px(key.words(), 11.0) + 16.0;
        if x > x0 && x + width > x1 {
            x = x0;
            row += 18.0;
        }
        key.draw(drawing, x, row);
        drawing.text(
            Role::Label,
            (x + 17.0, row + 4.0),
            Anchor::Start,
            key.words(),
        );
        x += width;
    }
    row + 12.0
}
