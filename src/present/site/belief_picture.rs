//! Suspicion in each section as bars, along the chain.

use super::tree_picture::clip;
use crate::present::numbers::{percent, plain};
use crate::present::picture::drawing::{Anchor, Drawing};
use crate::present::picture::ink::{Role, Theme};
use crate::site::chain::hunt::Hunt;

const WIDTH: f64 = 760.0;
/// On a telephone.
const NARROW: f64 = 360.0;
/// Room for names, as a share of the width.
const NAMES: f64 = 0.28;
const NAMES_NARROW: f64 = 0.37;
const VALUES: f64 = 70.0;
const ROW: f64 = 24.0;

/// Draws; `theme` is `None` on a page that brings its own colours.
#[must_use]
pub fn svg(hunt: &Hunt, theme: Option<Theme>) -> String {
    draw(hunt, Drawing::new(WIDTH, "belief", theme), NAMES * WIDTH)
}

/// For a telephone, on a page that brings its own colours.
#[must_use]
pub fn narrow(hunt: &Hunt) -> String {
    let names = NAMES_NARROW * NARROW;
    draw(hunt, Drawing::new(NARROW, "belief-n", None), names)
}

fn draw(hunt: &Hunt, mut drawing: Drawing, names: f64) -> String {
    let width = drawing.width;
    let said: Vec<String> = (0..hunt.belief.len())
        .map(|i| {
            format!(
                "{}: {}",
                hunt.station.sections[i].name,
                plain(&percent(hunt.belief[i]))
            )
        })
        .collect();
    drawing.describe("How much each section is suspected", &said.join("; "));
    let room = width - names - VALUES;
    let most = hunt
        .belief
        .iter()
        .chain(&hunt.prior)
        .copied()
        .fold(1e-9, f64::max);
    let mut y = 10.0;
    for (i, section) in hunt.station.sections.iter().enumerate() {
        let name = clip(&section.name, names - 20.0);
        drawing.text(Role::Label, (names - 10.0, y + 14.0), Anchor::End, &name);
        drawing.rect(
            Role::Tail,
            names,
            y + 3.0,
            room * hunt.belief[i] / most,
            ROW - 8.0,
        );
        let before = names + room * hunt.prior[i] / most;
        drawing.line(Role::Cut, (before, y + 1.0), (before, y + ROW - 3.0));
        let value = plain(&percent(hunt.belief[i]));
        drawing.text(
            Role::Label,
            (width - VALUES + 8.0, y + 14.0),
            Anchor::Start,
            &value,
        );
        y += ROW;
    }
    let words = "bar: now; upright stroke: before any result";
    let left = names.min(width - 6.0 * words.len() as f64).max(10.0);
    drawing.text(Role::Soft, (left, y + 18.0), Anchor::Start, words);
    drawing.height = y + 28.0;
    drawing.to_svg()
}
