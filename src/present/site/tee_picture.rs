//! Shares of the noise as one bar.

use crate::present::numbers::{percent, plain};
use crate::present::picture::drawing::{Anchor, Drawing};
use crate::present::picture::ink::{Role, Theme};
use crate::site::tee::analyse::Shares;

const WIDTH: f64 = 760.0;
/// On a telephone.
const NARROW: f64 = 360.0;
const LEFT: f64 = 16.0;
const BAR_TOP: f64 = 14.0;
const BAR_HEIGHT: f64 = 34.0;
const LINE: f64 = 20.0;

/// Draws; `theme` is `None` on a page that brings its own colours.
#[must_use]
pub fn shares(shares: Shares, theme: Option<Theme>) -> String {
    draw(shares, Drawing::new(WIDTH, "noise", theme))
}

/// For a telephone, on a page that brings its own colours.
#[must_use]
pub fn narrow(shares: Shares) -> String {
    draw(shares, Drawing::new(NARROW, "noise-n", None))
}

fn draw(shares: Shares, mut drawing: Drawing) -> String {
    let parts = [
        (Role::Mean, "the receiver itself", shares.receiver),
        (Role::Peak, "the site, by way of the antenna", shares.site),
        (
            Role::Blip,
            "your transmitter, inside the cabinet",
            shares.cabinet,
        ),
        (
            Role::Between,
            "your transmitter, by way of the antenna side",
            shares.antenna_side,
        ),
    ];
    let said = parts.map(|(_, name, share)| format!("{name}: {}", plain(&percent(share))));
    drawing.describe(
        "Where the noise in the receiver comes from",
        &said.join("; "),
    );
    let room = drawing.width - 2.0 * LEFT;
    let mut x = LEFT;
    for (role, _, share) in parts {
        drawing.rect(role, x, BAR_TOP, room * share, BAR_HEIGHT);
        x += room * share;
    }
    let mut y = BAR_TOP + BAR_HEIGHT + 10.0;
    for ((role, _, _), said) in parts.into_iter().zip(&said) {
        drawing.rect(role, LEFT, y, 14.0, 12.0);
        drawing.text(Role::Label, (LEFT + 22.0, y + 10.0), Anchor::Start, said);
        y += LINE;
    }
    drawing.height = y + 4.0;
    drawing.to_svg()
}
