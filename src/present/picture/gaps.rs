//! The silence after each drop, below its bar: on a line when circuits time it, strewn when
//! people or fading do.

use super::drawing::{Anchor, Drawing};
use super::ink::Role;
use super::skyline::Bars;
use crate::present::beat::After;
use crate::present::facts::values;
use crate::tuning::present as limit;
use crate::units::Seconds;

/// Height of the panel in dots.
pub const GAPS_PX: f64 = 84.0;

/// Draws it with the panel's top at `y`; false where no silence is known.
pub fn draw(drawing: &mut Drawing, bars: &Bars, y: f64) -> bool {
    let known = values(
        bars.list
            .iter()
            .filter_map(|b| b.cycle.after.gap())
            .map(Seconds::get),
    );
    let (Some(&least), Some(&most)) = (known.first(), known.last()) else {
        return false;
    };
    let foot = y + GAPS_PX;
    let low = least.max(0.002).min(limit::CIRCUIT_GAP_MIN.get()).log10() - 0.1;
    let high = most.max(limit::CIRCUIT_GAP_MAX.get() * 10.0).log10() + 0.1;
    let at = |s: f64| {
        let share = ((s.max(0.002).log10() - low) / (high - low)).clamp(0.0, 1.0);
        foot - share * GAPS_PX
    };
    let (band_top, band_foot) = (
        at(limit::CIRCUIT_GAP_MAX.get()),
        at(limit::CIRCUIT_GAP_MIN.get()),
    );
    drawing.rect(
        Role::Band,
        bars.x0,
        band_top,
        bars.x1 - bars.x0,
        band_foot - band_top,
    );
    for power in (low.ceil() as i32)..=(high.floor() as i32) {
        let s = 10f64.powi(power);
        drawing.line(Role::Grid, (bars.x0, at(s)), (bars.x1, at(s)));
        let label = if power < 0 {
            format!("{s} s")
        } else {
            format!("{s:.0} s")
        };
        drawing.text(
            Role::Soft,
            (bars.x0 - 6.0, at(s) + 4.0),
            Anchor::End,
            &label,
        );
    }
    drawing.line(Role::Axis, (bars.x0, foot), (bars.x1, foot));
    let r = (bars.step * 0.32).clamp(1.1, 3.4);
    for (n, bar) in bars.list.iter().enumerate() {
        let (left, width) = bars.place(n);
        let x = left + width / 2.0;
        match bar.cycle.after {
            After::Back(gap) => drawing.circle(Role::Mark, (x, at(gap.get())), r),
            After::Later(gap) => {
                let y = at(gap.get());
                drawing.rect(Role::HollowMark, x - r, y - r, 2.0 * r, 2.0 * r);
            }
            After::Unjudged(gap) => {
                let y = at(gap.get());
                let lozenge = [(x, y - r - 1.0), (x + r, y), (x, y + r + 1.0), (x - r, y)];
                drawing.polygon(Role::HollowMark, &lozenge, true);
            }
            After::Cut | After::Unknown => {}
        }
    }
    true
}
