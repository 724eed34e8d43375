//! The shapes of events. Each kind has a shape of its own.

use super::drawing::Drawing;
use super::ink::Role;
use crate::timeline::types::EventKind;

/// Half the size of a mark in dots.
pub const HALF_PX: f64 = 3.6;

/// Kinds of mark, as the legend tells them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// Carrier comes up: a wedge that points up.
    Up,
    /// Carrier drops: a wedge that points down.
    Down,
    /// The repeater loses the user: a lozenge.
    Loss,
    /// Courtesy tone: a ring.
    Courtesy,
    /// Identifier: dot and dash.
    Ident,
    /// Another tone: a small square.
    Tone,
}

impl Mark {
    /// All kinds.
    pub const ALL: [Self; 6] = [
        Self::Up,
        Self::Down,
        Self::Loss,
        Self::Courtesy,
        Self::Ident,
        Self::Tone,
    ];

    /// The mark of an event.
    #[must_use]
    pub const fn of(kind: &EventKind) -> Self {
        match kind {
            EventKind::KeyUp => Self::Up,
            EventKind::CarrierDrop => Self::Down,
            EventKind::InputLoss => Self::Loss,
            EventKind::CourtesyTone { .. } => Self::Courtesy,
            EventKind::StationId { .. } => Self::Ident,
            EventKind::Tone { .. } => Self::Tone,
        }
    }
}

/// Draws a mark around a point.
pub fn mark(drawing: &mut Drawing, mark: Mark, (x, y): (f64, f64)) {
    let r = HALF_PX;
    match mark {
        Mark::Up => wedge(drawing, (x, y), r),
        Mark::Down => wedge(drawing, (x, y), -r),
        Mark::Loss => {
            let lozenge = [
                (x, y - r - 0.6),
                (x + r - 0.4, y),
                (x, y + r + 0.6),
                (x - r + 0.4, y),
            ];
            drawing.polygon(Role::HollowMark, &lozenge, true);
        }
        Mark::Courtesy => drawing.circle(Role::HollowMark, (x, y), r - 0.6),
        Mark::Ident => {
            drawing.circle(Role::Mark, (x - 4.0, y), 1.5);
            drawing.rect(Role::Mark, x - 1.0, y - 1.3, 6.5, 2.6);
        }
        Mark::Tone => drawing.rect(Role::HollowMark, x - 2.6, y - 2.6, 5.2, 5.2),
    }
}

fn wedge(drawing: &mut Drawing, (x, y): (f64, f64), up: f64) {
    let half = up.abs();
    drawing.polygon(
        Role::Mark,
        &[(x, y - up), (x + half, y + up), (x - half, y + up)],
        true,
    );
}

/// Two slanted strokes: something was cut out here.
pub fn cut(drawing: &mut Drawing, (x, y): (f64, f64), height: f64) {
    for shift in [-1.8, 1.8] {
        drawing.line(
            Role::Cut,
            (x + shift - 2.0, y + height / 2.0),
            (x + shift + 2.0, y - height / 2.0),
        );
    }
}

/// A ragged edge of `height` that runs down from `(x, y)`: where this begins or ends is not known.
pub fn ragged(x: f64, y: f64, height: f64) -> Vec<(f64, f64)> {
    const TEETH: usize = 6;
    (0..=TEETH)
        .map(|n| {
            let out = if n % 2 == 0 { 0.0 } else { -3.0 };
            (x + out, y + height * n as f64 / TEETH as f64)
        })
        .collect()
}
