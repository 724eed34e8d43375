//! One site's months: a block a month, a column a day, a row an hour of the day. So both the
//! season and the time of day of the trouble are seen at one glance, and what was not heard as well.

use crate::archive::hours::{Held, Hour};
use crate::archive::summary::Site;
use crate::present::picture::drawing::{Anchor, Drawing};
use crate::present::picture::ink::Role;
use crate::present::wording::archive as words;
use crate::tuning::present::CALENDAR_SITES;
use std::collections::BTreeMap;

/// Where it is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    width: f64,
    across: usize,
    cell: f64,
    /// Left and right of the words above, so that they stand below the page's own.
    edge: f64,
    ids: [&'static str; CALENDAR_SITES],
}

/// For a page.
pub const WIDE: Shape = Shape {
    width: 760.0,
    across: 4,
    cell: 5.4,
    edge: 0.0,
    ids: [
        "c0", "c1", "c2", "c3", "c4", "c5", "c6", "c7", "c8", "c9", "c10", "c11",
    ],
};
/// For a telephone, where the drawing reaches to the paper's edge.
pub const NARROW: Shape = Shape {
    width: 360.0,
    across: 2,
    cell: 5.1,
    edge: 15.0,
    ids: [
        "n0", "n1", "n2", "n3", "n4", "n5", "n6", "n7", "n8", "n9", "n10", "n11",
    ],
};

const ROW: f64 = 5.0;
/// Between cells.
const GAP: f64 = 0.7;
const HOURS: f64 = 24.0;
/// Above each block: the month's name.
const HEAD: f64 = 20.0;
/// Below each block: some days' numbers.
const FOOT: f64 = 22.0;
/// These.
const DAYS_NAMED: [u8; 4] = [1, 10, 20, 28];
/// For the hours' figures.
const LEFT: f64 = 30.0;
/// The site's name, below it what was heard, below that the legend.
const NAME_AT: f64 = 16.0;
const SAID_AT: f64 = 31.0;
const LEGEND_AT: f64 = 39.0;
/// All of that.
const LEGEND: f64 = 62.0;

/// Shares of an hour's heard time from which on a darker step is used.
const STEPS: [(f64, u8); 3] = [(0.5, 4), (0.1, 3), (0.0, 2)];

/// Draws the last `most` months of the site that is the `nth` on its page.
pub fn svg(site: &Site, nth: usize, shape: Shape, most: usize) -> String {
    let months: Vec<(i16, i8)> = site.figures.months.keys().copied().collect();
    let months = &months[months.len().saturating_sub(most)..];
    let mut drawing = Drawing::new(shape.width, shape.ids[nth % CALENDAR_SITES], None);
    let said = words::calendar_said(site);
    drawing.describe(&words::calendar(&site.name), &said);
    let name = shortened(&site.name, shape.width - 2.0 * shape.edge);
    drawing.text(Role::Headline, (shape.edge, NAME_AT), Anchor::Start, &name);
    drawing.text(Role::Soft, (shape.edge, SAID_AT), Anchor::Start, &said);
    legend(&mut drawing, shape);
    let step = (shape.width - LEFT) / shape.across as f64;
    let block = HEAD + HOURS * ROW + FOOT;
    let mut cells: BTreeMap<u8, String> = BTreeMap::new();
    for (n, (year, month)) in months.iter().enumerate() {
        let x = LEFT + step * (n % shape.across) as f64;
        let y = LEGEND + block * (n / shape.across) as f64 + HEAD;
        drawing.text(
            Role::Label,
            (x, y - 5.0),
            Anchor::Start,
            &words::month(*year, *month),
        );
        if n % shape.across == 0 {
            // Beside the middle of the first hour's row and of the noon's.
            for (hour, text) in [(0.0, "0 h"), (12.0, "12 h")] {
                let at = (LEFT - 4.0, y + (hour + 0.5) * ROW + 4.0);
                drawing.text(Role::Soft, at, Anchor::End, text);
            }
        }
        let of_month = (site.hours.0.iter()).filter(|(h, _)| (h.year, h.month) == (*year, *month));
        for run in runs(of_month) {
            let (cx, cy) = place(&run.from, shape, x, y);
            let (w, h) = (shape.cell - GAP, ROW * f64::from(run.hours) - GAP);
            let path = cells.entry(run.paint).or_default();
            path.push_str(&format!("M{cx:.1} {cy:.1}h{w:.1}v{h:.1}h-{w:.1}z"));
        }
        let days = 31.0 * shape.cell;
        drawing.line(Role::Grid, (x, y - 1.0), (x + days, y - 1.0));
        let bottom = y + HOURS * ROW;
        drawing.line(Role::Grid, (x, bottom), (x + days, bottom));
        for day in DAYS_NAMED {
            let at = (x + (f64::from(day) - 0.5) * shape.cell, bottom + 11.0);
            drawing.text(Role::Soft, at, Anchor::Middle, &day.to_string());
        }
    }
    for (role, path) in &cells {
        drawing.path(PAINTS[usize::from(*role)], path);
    }
    let rows = months.len().div_ceil(shape.across);
    drawing.height = LEGEND + block * rows as f64;
    drawing.to_svg()
}

/// Widest that a letter of a headline is on the whole: a shade above the mean of small letters and low
/// lines in a broad type face.
const LETTER: f64 = 11.4;

/// A name that fits: drawn text does not break, and would run off the paper.
fn shortened(name: &str, width: f64) -> String {
    let most = (width / LETTER) as usize;
    if name.chars().count() <= most {
        return name.to_owned();
    }
    let kept: String = name.chars().take(most.saturating_sub(1)).collect();
    kept.trim_end().to_owned() + "…"
}

/// Hours of one day that follow each other and are painted alike.
struct Run {
    from: Hour,
    hours: i8,
    paint: u8,
}

fn runs<'a>(hours: impl Iterator<Item = (&'a Hour, &'a Held)>) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for (hour, held) in hours {
        let Some(paint) = role(held) else { continue };
        match runs.last_mut() {
            Some(run)
                if run.paint == paint
                    && run.from.day == hour.day
                    && run.from.hour + run.hours == hour.hour =>
            {
                run.hours += 1;
            }
            _ => runs.push(Run {
                from: *hour,
                hours: 1,
                paint,
            }),
        }
    }
    runs
}

fn place(hour: &Hour, shape: Shape, x: f64, y: f64) -> (f64, f64) {
    (
        x + f64::from(hour.day - 1) * shape.cell,
        y + f64::from(hour.hour) * ROW,
    )
}

/// What is painted: heard without trouble, of no use, and three steps of cycling.
const PAINTS: [Role; 5] = [
    Role::Heard,
    Role::Useless,
    Role::Trouble(1),
    Role::Trouble(2),
    Role::Trouble(3),
];

fn role(held: &Held) -> Option<u8> {
    let heard = held.heard().get();
    if held.cycling.get() > 0.0 && heard > 0.0 {
        let share = held.cycling.get() / heard;
        let step = STEPS.iter().find(|(from, _)| share > *from);
        return step.map(|(_, step)| *step);
    }
    if heard >= 1.0 {
        Some(0)
    } else if held.recorded.get() >= 1.0 {
        Some(1)
    } else {
        None
    }
}

fn legend(drawing: &mut Drawing, shape: Shape) {
    let mut x = shape.edge;
    let marks: [(&[Role], &str); 3] = [
        (&PAINTS[..1], words::HEARD_QUIET),
        (&PAINTS[1..2], words::NOT_USABLE),
        (
            &PAINTS[2..],
            if shape == NARROW {
                words::CYCLING_SHORT
            } else {
                words::CYCLING_STEPS
            },
        ),
    ];
    for (roles, text) in marks {
        for role in roles {
            drawing.rect(*role, x, LEGEND_AT, 9.0, 9.0);
            x += 10.0;
        }
        drawing.text(Role::Soft, (x + 3.0, LEGEND_AT + 9.0), Anchor::Start, text);
        x += 14.0 + text.chars().count() as f64 * 5.6;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_too_long_for_the_paper_is_shortened_and_says_so() {
        let long = "a-site-with-a-rather-long-name-of-its-own";
        assert_eq!(shortened("hill", NARROW.width), "hill");
        assert_eq!(shortened(long, WIDE.width), long);
        let short = shortened(long, NARROW.width);
        assert!(short.ends_with('…') && long.starts_with(short.trim_end_matches('…')));
        assert!(short.chars().count() as f64 * LETTER <= NARROW.width);
    }

    #[test]
    fn months_lie_beside_each_other_and_on_the_paper() {
        for shape in [WIDE, NARROW] {
            let step = (shape.width - LEFT) / shape.across as f64;
            assert!(31.0 * shape.cell + GAP < step, "{shape:?}");
        }
    }
}
