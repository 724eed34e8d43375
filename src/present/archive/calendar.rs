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
    ids: [&'static str; CALENDAR_SITES],
}

/// For a page.
pub const WIDE: Shape = Shape {
    width: 760.0,
    across: 4,
    cell: 5.4,
    ids: [
        "c0", "c1", "c2", "c3", "c4", "c5", "c6", "c7", "c8", "c9", "c10", "c11",
    ],
};
/// For a telephone.
pub const NARROW: Shape = Shape {
    width: 360.0,
    across: 2,
    cell: 5.2,
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
/// Below each block.
const FOOT: f64 = 12.0;
/// For the hours' figures.
const LEFT: f64 = 22.0;
/// The site's name, and the legend below it.
const LEGEND: f64 = 50.0;
const LEGEND_AT: f64 = 27.0;
/// On a telephone the drawing reaches to the paper's edge.
const EDGE: f64 = 4.0;

/// Shares of an hour's heard time from which on a darker step is used.
const STEPS: [(f64, u8); 3] = [(0.5, 4), (0.1, 3), (0.0, 2)];

/// Draws the last `most` months of the site that is the `nth` on its page.
pub fn svg(site: &Site, nth: usize, shape: Shape, most: usize) -> String {
    let months: Vec<(i16, i8)> = site.figures.months.keys().copied().collect();
    let months = &months[months.len().saturating_sub(most)..];
    let mut drawing = Drawing::new(shape.width, shape.ids[nth % CALENDAR_SITES], None);
    drawing.describe(&words::calendar(&site.name), &words::calendar_said(site));
    drawing.text(Role::Headline, (EDGE, 16.0), Anchor::Start, &site.name);
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
            for hour in [0.0, 12.0] {
                let at = (LEFT - 5.0, y + hour * ROW + 8.0);
                drawing.text(Role::Soft, at, Anchor::End, &format!("{hour:.0}"));
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
    }
    for (role, path) in &cells {
        drawing.path(PAINTS[usize::from(*role)], path);
    }
    let rows = months.len().div_ceil(shape.across);
    drawing.height = LEGEND + block * rows as f64;
    drawing.to_svg()
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
    Role::Band,
    Role::Peak,
    Role::Pitch(3),
    Role::Pitch(4),
    Role::Pitch(5),
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
    let mut x = EDGE;
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
