//! Cycle by cycle: every transmission stands upright with the silence after it on top. A beat
//! gives a flat skyline, chance a ragged one.

use super::axis::round_up;
use super::close_up::gravest;
use super::drawing::{Anchor, Drawing};
use super::ink::Role;
use super::marks::ragged;
use super::sheet::text_px;
use crate::check::Check;
use crate::present::beat::{After, Cycle, Parts, cycles};
use crate::present::facts::values;
use crate::present::numbers::{clock, plain, span};
use crate::statistics::quantiles::median;
use crate::tuning::present as limit;
use crate::units::Seconds;

/// Height of the panel in dots.
pub const SKYLINE_PX: f64 = 178.0;
/// Widest bar in dots.
const WIDEST_PX: f64 = 64.0;
/// Above so many bars, those resting on them tell nothing singly.
const NAMED_BARS: usize = 150;

/// One bar: a cycle, or several neighbours in one.
#[derive(Debug, Clone)]
pub struct Bar {
    /// The cycle, or the middle of the neighbours.
    pub cycle: Cycle,
    /// Shortest and tallest of the neighbours.
    pub range: Option<(f64, f64)>,
}

/// The bars and where they stand.
#[derive(Debug, Clone)]
pub struct Bars {
    /// In order of time.
    pub list: Vec<Bar>,
    /// Cycles in a bar.
    pub per_bar: usize,
    /// Whether only the gravest episode is shown.
    pub only_episode: bool,
    /// Left end in dots.
    pub x0: f64,
    /// Right end of the paper in dots.
    pub x1: f64,
    /// Dots from bar to bar.
    pub step: f64,
}

impl Bars {
    /// Chooses and joins the cycles so that they fit.
    #[must_use]
    pub fn of(check: &Check, x0: f64, x1: f64) -> Self {
        let count = check.timeline.drops.len();
        let most = limit::MAX_BARS.min((x1 - x0) as usize);
        let only = gravest(check).filter(|_| count > most);
        let within = |c: &Cycle| only.is_none_or(|e| c.drop >= e.start && c.drop <= e.end);
        let all: Vec<Cycle> = cycles(check).filter(within).collect();
        let only_episode = all.len() < count;
        Self {
            only_episode,
            ..Self::joined(&all, x0, x1)
        }
    }

    /// These cycles, neighbours joined where there are too many.
    #[must_use]
    pub fn joined(all: &[Cycle], x0: f64, x1: f64) -> Self {
        let most = limit::MAX_BARS.min((x1 - x0) as usize).max(1);
        let per_bar = all.len().div_ceil(most).max(1);
        let list: Vec<Bar> = all.chunks(per_bar).map(join).collect();
        let step = ((x1 - x0) / list.len().max(1) as f64).min(WIDEST_PX);
        Self {
            list,
            per_bar,
            only_episode: false,
            x0,
            x1,
            step,
        }
    }

    /// Heights of the bars in rising order.
    #[must_use]
    pub fn heights(&self) -> Vec<f64> {
        let heights = self.list.iter().filter_map(|b| b.cycle.height());
        values(heights.map(Seconds::get))
    }

    /// Left end and width of a bar.
    #[must_use]
    pub fn place(&self, n: usize) -> (f64, f64) {
        let gap = if self.step >= 5.0 {
            self.step * 0.22
        } else {
            0.0
        };
        // Bars that touch overlap a little, or else light shines through the seams.
        let width = if gap > 0.0 {
            self.step - gap
        } else {
            self.step + 0.4
        };
        (self.x0 + n as f64 * self.step + gap / 2.0, width)
    }
}

/// Neighbours in one bar: the middle of each part, and the outcome of most.
fn join(group: &[Cycle]) -> Bar {
    if let [cycle] = group {
        return Bar {
            cycle: *cycle,
            range: None,
        };
    }
    let middle = |part: fn(&Cycle) -> Option<Seconds>| {
        median(&values(group.iter().filter_map(part).map(Seconds::get))).map(Seconds)
    };
    let back: Vec<&Cycle> = group
        .iter()
        .filter(|c| matches!(c.after, After::Back(_)))
        .collect();
    let heights = values(group.iter().filter_map(Cycle::height).map(Seconds::get));
    let after = if back.len() * 2 > group.len() {
        let gaps = values(back.iter().filter_map(|c| c.after.gap()).map(Seconds::get));
        median(&gaps).map_or(After::Unknown, |g| After::Back(Seconds(g)))
    } else {
        let gaps = values(group.iter().filter_map(|c| c.after.gap()).map(Seconds::get));
        match median(&gaps) {
            Some(gap) => After::Later(Seconds(gap)),
            None => group[0].after,
        }
    };
    let parts = middle(|c| c.parts.map(|p| p.on)).map(|on| Parts {
        on,
        blip: middle(|c| c.parts.and_then(|p| p.blip)),
        tail: middle(|c| c.parts.and_then(|p| p.tail)),
    });
    Bar {
        cycle: Cycle {
            drop: group[0].drop,
            key_up: group[0].key_up,
            parts,
            after,
        },
        range: heights.first().zip(heights.last()).map(|(a, b)| (*a, *b)),
    }
}

/// Draws the bars with the panel's top at `y`.
pub fn draw(drawing: &mut Drawing, bars: &Bars, period: Option<Seconds>, y: f64) {
    draw_to(drawing, bars, period, (y, SKYLINE_PX), &bars.heights());
}

/// Draws the bars into a panel of this top and height, on a scale that holds `heights`.
pub fn draw_to(
    drawing: &mut Drawing,
    bars: &Bars,
    period: Option<Seconds>,
    (y, height): (f64, f64),
    heights: &[f64],
) {
    let foot = y + height;
    let (top_s, step_s) = round_up(ceiling(heights));
    let scale = Scale {
        foot,
        top: y,
        px_per_s: height / top_s,
        top_s,
    };
    let places = (-step_s.log10().floor()).max(0.0) as usize;
    let mut s = 0.0;
    while s <= top_s + step_s / 2.0 {
        let at = foot - s * scale.px_per_s;
        drawing.line(Role::Grid, (bars.x0, at), (bars.x1, at));
        let label = format!("{s:.places$} s");
        drawing.text(Role::Soft, (bars.x0 - 6.0, at + 4.0), Anchor::End, &label);
        s += step_s;
    }
    for (n, bar) in bars.list.iter().enumerate() {
        let says = (bars.list.len() <= NAMED_BARS).then(|| describe(&bar.cycle));
        let t = bar.cycle.key_up.unwrap_or(bar.cycle.drop);
        drawing.begin_moment(t.get(), says.as_deref());
        one(drawing, bars.place(n), bar, &scale);
        drawing.end_group();
    }
    drawing.line(Role::Axis, (bars.x0, foot), (bars.x1, foot));
    if let Some(period) = period.filter(|p| p.get() < top_s) {
        let at = foot - period.get() * scale.px_per_s;
        let end = (bars.x0 + bars.list.len() as f64 * bars.step + 8.0).min(bars.x1);
        drawing.line(Role::Median, (bars.x0, at), (end, at));
        let label = plain(&span(period));
        if end + 4.0 + text_px(&label, 11.0) < bars.x1 {
            drawing.text(Role::Label, (end + 4.0, at + 4.0), Anchor::Start, &label);
        }
    }
}

/// The height that the panel must hold: all bars, unless a few tower over the rest.
fn ceiling(heights: &[f64]) -> f64 {
    let tallest = heights.last().copied().unwrap_or(1.0);
    let at = (heights.len() as f64 * 0.9).ceil() as usize;
    let most = heights
        .get(at.saturating_sub(1))
        .copied()
        .unwrap_or(tallest);
    tallest.min(most * limit::BREAK_FACTOR)
}

struct Scale {
    foot: f64,
    top: f64,
    px_per_s: f64,
    top_s: f64,
}

impl Scale {
    fn y(&self, s: f64) -> f64 {
        (self.foot - s * self.px_per_s).max(self.top)
    }
}

fn one(drawing: &mut Drawing, (x, w): (f64, f64), bar: &Bar, scale: &Scale) {
    let Some(parts) = bar.cycle.parts else {
        // Length not known: a ragged stump.
        let top = scale.foot - 12.0;
        let mut stump: Vec<(f64, f64)> = ragged(0.0, 0.0, w)
            .into_iter()
            .map(|(dx, dy)| (x + dy, top - dx))
            .collect();
        stump.extend([(x + w, scale.foot), (x, scale.foot)]);
        drawing.polygon(Role::Inferred, &stump, true);
        return;
    };
    let on = parts.on.get();
    let mut piece = |role: Role, from: f64, to: f64| {
        let (top, bottom) = (scale.y(to), scale.y(from));
        if bottom > top {
            drawing.rect(role, x, top, w, bottom - top);
        }
    };
    match (parts.blip, parts.tail) {
        (Some(blip), Some(tail)) => {
            let blip = blip.get().clamp(0.0, on);
            let quiet = (on - tail.get()).clamp(blip, on);
            piece(Role::Blip, 0.0, blip);
            piece(Role::Between, blip, quiet);
            piece(Role::Tail, quiet, on);
        }
        _ => piece(Role::Carrier, 0.0, on),
    }
    if let After::Back(gap) = bar.cycle.after {
        let (top, bottom) = (scale.y(on + gap.get()), scale.y(on));
        if bottom - top > 0.1 {
            if w >= 5.0 {
                drawing.rect(Role::Gap, x + 0.5, top, w - 1.0, bottom - top);
            } else {
                drawing.rect(Role::GapThin, x, top, w, bottom - top);
            }
        }
    }
    if let Some((low, high)) = bar.range {
        let middle = x + w / 2.0;
        drawing.line(Role::Axis, (middle, scale.y(low)), (middle, scale.y(high)));
    }
    if on > scale.top_s {
        broken(drawing, (x, w), scale.top, on);
    } else if bar.cycle.after == After::Cut && w >= 5.0 {
        super::marks::cut(drawing, (x + w / 2.0, scale.y(on) - 1.0), 8.0);
    }
}

/// A bar that goes on above the panel: a slanted break, and its length where there is room.
fn broken(drawing: &mut Drawing, (x, w): (f64, f64), top: f64, on: f64) {
    drawing.line(Role::Cut, (x - 1.0, top + 12.0), (x + w + 1.0, top + 6.0));
    if w >= 16.0 {
        let at = (x + w / 2.0, top - 3.0);
        drawing.text(Role::Soft, at, Anchor::Middle, &format!("{on:.0}"));
    }
}

/// What a pointer that rests on a bar reads.
fn describe(cycle: &Cycle) -> String {
    let mut said = clock(cycle.key_up.unwrap_or(cycle.drop));
    match cycle.parts {
        None => said += ": length not known",
        Some(parts) => {
            said += &format!(": on {}", span(parts.on));
            if let (Some(blip), Some(tail)) = (parts.blip, parts.tail) {
                said += &format!(" (user {}, tail {})", span(blip), span(tail));
            }
        }
    }
    said += &match cycle.after {
        After::Back(gap) => format!(", back after {}", span(gap)),
        After::Later(gap) => format!(", up again after {}", span(gap)),
        After::Unjudged(gap) => format!(", silence {}", span(gap)),
        After::Cut => ", silence cut out".into(),
        After::Unknown => String::new(),
    };
    plain(&said)
}
