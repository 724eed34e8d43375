//! Share of returns over the back-off: a dot a step with its interval, the bracket behind.

use crate::backoff::report::BackoffReport;
use crate::present::numbers::{db, plain};
use crate::present::picture::drawing::{Anchor, Drawing};
use crate::present::picture::ink::{Role, Theme};
use crate::present::picture::sheet::text_px;
use crate::statistics::proportion::wilson;
use crate::tuning::site::CONFIDENCE;
use crate::units::Decibels;

const WIDTH: f64 = 760.0;
/// On a telephone.
const NARROW: f64 = 360.0;
const LEFT: f64 = 58.0;
const RIGHT: f64 = 20.0;
const TOP: f64 = 30.0;
const HEIGHT: f64 = 190.0;

/// Draws; `theme` is `None` on a page that brings its own colours.
#[must_use]
pub fn svg(report: &BackoffReport, theme: Option<Theme>) -> String {
    draw(report, Drawing::new(WIDTH, "steps", theme))
}

/// For a telephone, on a page that brings its own colours.
#[must_use]
pub fn narrow(report: &BackoffReport) -> String {
    draw(report, Drawing::new(NARROW, "steps-n", None))
}

fn draw(report: &BackoffReport, mut drawing: Drawing) -> String {
    drawing.height = TOP + HEIGHT + 70.0;
    let said: Vec<String> = report
        .levels
        .iter()
        .map(|l| format!("{}: {} of {}", plain(&db(l.backoff)), l.came_back, l.trials))
        .collect();
    drawing.describe(
        "How often the carrier came back at each step",
        &said.join("; "),
    );
    let axis = Axis::of(report, drawing.width);
    bracket(&mut drawing, report, &axis);
    scale(&mut drawing, report, &axis);
    for level in &report.levels {
        let x = axis.x(level.backoff);
        let share = f64::from(level.came_back) / f64::from(level.trials);
        let (k, n) = (u64::from(level.came_back), u64::from(level.trials));
        if let Some(interval) = wilson(k, n, CONFIDENCE) {
            drawing.line(Role::Axis, (x, y(interval.low)), (x, y(interval.high)));
        }
        let role = if 2 * level.came_back >= level.trials {
            Role::Mark
        } else {
            Role::HollowMark
        };
        drawing.circle(role, (x, y(share)), 5.0);
        // Beside the dot, clear of the interval's line; never on the axis.
        let at = y(share).clamp(TOP + 12.0, TOP + HEIGHT - 12.0) + 4.0;
        let of = if axis.width < WIDTH { "/" } else { " of " };
        let said = format!("{}{of}{}", level.came_back, level.trials);
        drawing.text(Role::Label, (x + 9.0, at), Anchor::Start, &said);
    }
    drawing.to_svg()
}

fn y(share: f64) -> f64 {
    TOP + HEIGHT * (1.0 - share)
}

struct Axis {
    width: f64,
    low: f64,
    high: f64,
}

impl Axis {
    fn of(report: &BackoffReport, width: f64) -> Self {
        let ends = report.levels.iter().map(|l| l.backoff.get());
        let high = ends.fold(0.0, f64::max);
        let step = (high / 10.0).max(1.0);
        Self {
            width,
            low: 0.0,
            high: high + step,
        }
    }

    fn x(&self, backoff: Decibels) -> f64 {
        let share = (backoff.get() - self.low) / (self.high - self.low);
        LEFT + (self.width - LEFT - RIGHT) * share.clamp(0.0, 1.0)
    }
}

/// The bracket as a band, the estimate as a dashed line.
fn bracket(drawing: &mut Drawing, report: &BackoffReport, axis: &Axis) {
    let low = report.bracket.at_least.map_or(LEFT, |b| axis.x(b));
    let high = report
        .bracket
        .less_than
        .map_or(axis.width - RIGHT, |b| axis.x(b));
    if report.bracket.at_least.is_some() {
        drawing.rect(Role::Band, low, TOP, high - low, HEIGHT);
    }
    if let Ok(estimate) = &report.estimate {
        let x = axis.x(estimate.middle);
        drawing.line(Role::Median, (x, TOP - 6.0), (x, TOP + HEIGHT));
        let said = format!("half of the time at {}", plain(&db(estimate.middle)));
        let anchor = if x + text_px(&said, 11.0) > axis.width {
            Anchor::End
        } else {
            Anchor::Start
        };
        drawing.text(Role::Label, (x, TOP - 12.0), anchor, &said);
    }
}

fn scale(drawing: &mut Drawing, report: &BackoffReport, axis: &Axis) {
    let right = axis.width - RIGHT;
    for (share, said) in [(0.0, "never"), (0.5, "half"), (1.0, "always")] {
        drawing.line(Role::Grid, (LEFT, y(share)), (right, y(share)));
        drawing.text(Role::Soft, (LEFT - 8.0, y(share) + 4.0), Anchor::End, said);
    }
    let bottom = TOP + HEIGHT;
    drawing.line(Role::Axis, (LEFT, bottom), (right, bottom));
    // Labels closer than this would touch.
    let mut last = f64::NEG_INFINITY;
    for level in &report.levels {
        let x = axis.x(level.backoff);
        drawing.line(Role::Axis, (x, bottom), (x, bottom + 5.0));
        if x - last >= 52.0 {
            let said = plain(&db(level.backoff));
            drawing.text(Role::Soft, (x, bottom + 20.0), Anchor::Middle, &said);
            last = x;
        }
    }
    let words = "signal lowered below its dropping point by";
    drawing.text(Role::Soft, (LEFT, bottom + 42.0), Anchor::Start, words);
    if report.bracket.at_least.is_some() {
        let words = "shaded: the desense lies in here";
        drawing.text(Role::Soft, (LEFT, bottom + 58.0), Anchor::Start, words);
    }
}
