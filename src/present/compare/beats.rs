//! Both beats on one scale, and under them how often it came back, each with its interval.

use crate::compare::tally::heard;
use crate::compare::{Comparison, Exhibit, Tally};
use crate::present::beat::{Cycle, cycle};
use crate::present::numbers::{count, percent, plain};
use crate::present::picture::drawing::{Anchor, Drawing};
use crate::present::picture::ink::{Role, Theme};
use crate::present::picture::legend;
use crate::present::picture::sheet::{Format, text_px};
use crate::present::picture::skyline::{Bars, draw_to};
use crate::present::wording::compare as words;
use crate::units::Seconds;

/// Height of one panel in dots.
const PANEL_PX: f64 = 80.0;
/// Under a panel: the outcomes.
const OUTCOMES_PX: f64 = 16.0;
/// Narrowest bar under which an outcome can be told from the next.
const OUTCOME_STEP_PX: f64 = 5.0;

/// How the drawing is wanted.
#[derive(Debug, Clone, Copy)]
pub struct View {
    /// For a page or for a telephone.
    pub format: Format,
    /// Colours; `None` on a page that brings its own.
    pub theme: Option<Theme>,
    /// Put before the names inside, so that several drawings can stand on one page.
    pub id: &'static str,
}

struct Panel {
    bars: Bars,
    outcomes: Vec<Option<bool>>,
    period: Option<Seconds>,
    heading: String,
}

/// Draws.
#[must_use]
pub fn svg(of: &Comparison, view: View) -> String {
    let width = view.format.width();
    let (x0, margin) = view.format.margins();
    let x1 = width - margin;
    let mut drawing = Drawing::new(width, view.id, view.theme);
    let mut panels = [
        panel("Before", &of.before, &of.tally_before, (x0, x1)),
        panel("After", &of.after, &of.tally_after, (x0, x1)),
    ];
    // One width of a bar for both, or the eye compares what is not alike.
    let step = panels[0].bars.step.min(panels[1].bars.step);
    let mut heights: Vec<f64> = Vec::new();
    for panel in &mut panels {
        panel.bars.step = step;
        heights.extend(panel.bars.heights());
    }
    heights.sort_by(f64::total_cmp);
    let said: Vec<&str> = panels.iter().map(|p| p.heading.as_str()).collect();
    drawing.describe(words::PICTURE, &said.join(". "));
    let mut y = 0.0;
    for panel in &panels {
        y += 16.0;
        drawing.text(Role::Heading, (margin, y), Anchor::Start, &panel.heading);
        // Room for the length of a bar that is broken off.
        y += 17.0;
        y = beats(&mut drawing, panel, y, &heights, (x0, x1));
    }
    let outcomes: Vec<Option<bool>> = (panels.iter())
        .filter(|panel| panel.shows_outcomes())
        .flat_map(|panel| panel.outcomes.iter().copied())
        .collect();
    y = legend::of_outcomes(
        &mut drawing,
        &[&panels[0].bars, &panels[1].bars],
        &outcomes,
        (margin, x1),
        y + 4.0,
    );
    y = shares(&mut drawing, of, (x0, x1, margin), y + 4.0);
    drawing.height = y + 6.0;
    drawing.to_svg()
}

impl Panel {
    /// Each bar is one drop, and wide enough for a mark under it.
    fn shows_outcomes(&self) -> bool {
        self.bars.per_bar == 1 && self.bars.step >= OUTCOME_STEP_PX
    }
}

fn panel(word: &'static str, set: &[Exhibit], tally: &Tally, (x0, x1): (f64, f64)) -> Panel {
    let mut cycles: Vec<Cycle> = Vec::new();
    let mut outcomes = Vec::new();
    for heard in heard(set) {
        cycles.extend(heard.drops.iter().map(|drop| cycle(drop, heard.mode)));
        outcomes.extend(heard.drops.iter().map(|drop| drop.came_back));
    }
    let drops = count(tally.trials as usize, "drop", "drops");
    let heading = if tally.trials == 0 {
        format!("{word}: no drop whose outcome is known")
    } else {
        format!("{word}: {} of {drops} came straight back", tally.came_back)
    };
    Panel {
        bars: Bars::joined(&cycles, x0, x1),
        outcomes,
        period: tally.period.map(|p| Seconds(p.median)),
        heading: plain(&heading),
    }
}

fn beats(
    drawing: &mut Drawing,
    panel: &Panel,
    y: f64,
    heights: &[f64],
    (x0, x1): (f64, f64),
) -> f64 {
    let foot = y + PANEL_PX;
    let returns = panel.outcomes.iter().filter(|o| **o == Some(true)).count();
    let period = panel.period.filter(|_| returns > 2);
    draw_to(drawing, &panel.bars, period, (y, PANEL_PX), heights);
    drawing.line(Role::Axis, (x0, foot), (x1, foot));
    if panel.shows_outcomes() {
        for (n, outcome) in panel.outcomes.iter().enumerate() {
            let (x, w) = panel.bars.place(n);
            let r = (0.36 * w).min(3.4);
            let at = (x + w / 2.0, foot + OUTCOMES_PX / 2.0);
            match outcome {
                Some(true) => drawing.circle(Role::Mark, at, r),
                Some(false) => {
                    drawing.rect(Role::HollowMark, at.0 - r, at.1 - r, 2.0 * r, 2.0 * r);
                }
                None => {
                    let points = [
                        (at.0, at.1 - 1.3 * r),
                        (at.0 + r, at.1),
                        (at.0, at.1 + 1.3 * r),
                        (at.0 - r, at.1),
                    ];
                    drawing.polygon(Role::HollowMark, &points, true);
                }
            }
        }
    }
    foot + OUTCOMES_PX
}

/// Share that comes back: a dot with its exact interval for each set.
fn shares(
    drawing: &mut Drawing,
    of: &Comparison,
    (x0, x1, margin): (f64, f64, f64),
    y: f64,
) -> f64 {
    let sets = [("before", &of.tally_before), ("after", &of.tally_after)];
    let mut y = y + 14.0;
    let heading = "Share of the drops that came straight back, with its exact 95 % interval";
    // A telephone has no room for the whole line.
    let room = x1 - margin;
    let heading = if text_px(heading, 13.5) > room {
        "Share that came back, exact 95 % interval"
    } else {
        heading
    };
    drawing.text(Role::Heading, (margin, y), Anchor::Start, heading);
    y += 6.0;
    // Room for the numbers at the right end.
    let end = x1 - 40.0;
    let x = |share: f64| x0 + (end - x0) * share.clamp(0.0, 1.0);
    let foot = y + 22.0 * sets.len() as f64;
    for tick in [0.0, 0.25, 0.5, 0.75, 1.0] {
        drawing.line(Role::Grid, (x(tick), y), (x(tick), foot));
        let said = plain(&percent(tick));
        drawing.text(Role::Soft, (x(tick), foot + 13.0), Anchor::Middle, &said);
    }
    for (n, (word, tally)) in sets.into_iter().enumerate() {
        let at = y + 11.0 + 22.0 * n as f64;
        drawing.text(Role::Label, (x0 - 6.0, at + 4.0), Anchor::End, word);
        let (Some(share), Some(exact)) = (tally.fraction(), tally.exact) else {
            drawing.text(Role::Soft, (x0 + 6.0, at + 4.0), Anchor::Start, "not known");
            continue;
        };
        drawing.line(Role::Cut, (x(exact.low), at), (x(exact.high), at));
        let role = if tally.came_back > 0 {
            Role::Mark
        } else {
            Role::HollowMark
        };
        drawing.circle(role, (x(share), at), 4.2);
        let said = plain(&percent(share));
        drawing.text(
            Role::Label,
            (x(exact.high) + 8.0, at + 4.0),
            Anchor::Start,
            &said,
        );
    }
    drawing.line(Role::Axis, (x0, foot), (end, foot));
    foot + 18.0
}
