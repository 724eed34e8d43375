//! Time across, with ticks where people expect them.

use super::drawing::{Anchor, Drawing};
use super::ink::Role;
use super::sheet::text_px;

/// A stretch of time across a stretch of paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeAxis {
    /// First second.
    pub t0: f64,
    /// Last second; above `t0`.
    pub t1: f64,
    /// Left end in dots.
    pub x0: f64,
    /// Right end in dots.
    pub x1: f64,
}

/// Steps between ticks in seconds: those of a clock face.
const STEPS: [f64; 20] = [
    0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0, 900.0, 1800.0,
    3600.0, 7200.0, 10_800.0, 21_600.0, 43_200.0,
];
/// Room that a label needs, in dots.
const LABEL_PX: f64 = 58.0;

impl TimeAxis {
    /// Dots of a moment, kept within the paper.
    #[must_use]
    pub fn x(&self, t: f64) -> f64 {
        let share = ((t - self.t0) / (self.t1 - self.t0)).clamp(0.0, 1.0);
        self.x0 + share * (self.x1 - self.x0)
    }

    /// Dots a second.
    #[must_use]
    pub fn px_per_s(&self) -> f64 {
        (self.x1 - self.x0) / (self.t1 - self.t0)
    }

    /// Moments of the ticks and the step between them.
    fn ticks(&self) -> (f64, Vec<f64>) {
        let wanted = LABEL_PX / self.px_per_s();
        let step = STEPS.into_iter().find(|s| *s >= wanted).unwrap_or_else(|| {
            (wanted / 86_400.0).ceil() * 86_400.0 // days
        });
        let first = (self.t0 / step - 1e-9).ceil() as i64;
        let last = (self.t1 / step + 1e-9).floor() as i64;
        (step, (first..=last).map(|n| n as f64 * step).collect())
    }

    /// Thin lines behind a panel.
    pub fn grid(&self, drawing: &mut Drawing, top: f64, bottom: f64) {
        for t in self.ticks().1 {
            drawing.line(Role::Grid, (self.x(t), top), (self.x(t), bottom));
        }
    }

    /// The axis with its labels; takes 20 dots.
    pub fn draw(&self, drawing: &mut Drawing, y: f64) {
        drawing.line(Role::Axis, (self.x0, y), (self.x1, y));
        let (step, ticks) = self.ticks();
        let long = self.t1 >= 3600.0;
        let unit = match (long, step < 1.0) {
            (true, _) if step >= 60.0 => "h:min",
            (true, _) => "h:min:s",
            (false, _) => "min:s",
        };
        drawing.text(Role::Soft, (self.x0 - 6.0, y + 14.0), Anchor::End, unit);
        for t in ticks {
            let x = self.x(t);
            let label = label(t, step, long);
            drawing.line(Role::Axis, (x, y), (x, y + 4.0));
            let half = text_px(&label, 11.0) / 2.0;
            let anchor = if x + half > self.x1 + 4.0 {
                Anchor::End
            } else if x - half < self.x0 - 4.0 {
                Anchor::Start
            } else {
                Anchor::Middle
            };
            drawing.text(Role::Soft, (x, y + 15.0), anchor, &label);
        }
    }
}

fn label(t: f64, step: f64, long: bool) -> String {
    let tenths = (t * 10.0).round() as u64;
    let (whole, tenth) = (tenths / 10, tenths % 10);
    let (h, m, s) = (whole / 3600, whole / 60 % 60, whole % 60);
    match (long, step) {
        (true, step) if step >= 60.0 => format!("{h}:{m:02}"),
        (true, _) => format!("{h}:{m:02}:{s:02}"),
        (false, step) if step < 1.0 => format!("{m}:{s:02}.{tenth}"),
        (false, _) => format!("{m}:{s:02}"),
    }
}

/// A round upper end and a step for an upward axis that must hold `top`: one of 1, 2, 5 times a
/// power of ten, with two to five steps.
#[must_use]
pub fn round_up(top: f64) -> (f64, f64) {
    let top = if top.is_finite() && top > 0.0 {
        top
    } else {
        1.0
    };
    let power = 10f64.powf((top / 5.0).log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .map(|m| m * power)
        .into_iter()
        .find(|s| top / s <= 5.0);
    let step = step.unwrap_or(10.0 * power);
    ((top / step).ceil() * step, step)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn upward_axes_end_on_round_numbers() {
        assert_eq!(round_up(3.51), (4.0, 1.0));
        assert_eq!(round_up(11.0), (15.0, 5.0));
        assert_eq!(round_up(4.4), (5.0, 1.0));
        assert_eq!(round_up(f64::NAN).0, 1.0);
    }

    #[test]
    fn ticks_keep_their_distance_from_seconds_to_days() {
        for t1 in [2.0, 93.0, 3600.0, 86_400.0, 900_000.0] {
            let axis = TimeAxis {
                t0: 0.0,
                t1,
                x0: 0.0,
                x1: 800.0,
            };
            let (step, ticks) = axis.ticks();
            assert!(step * axis.px_per_s() >= LABEL_PX - 1e-9, "{t1}");
            assert!((2..=15).contains(&ticks.len()), "{t1}: {}", ticks.len());
        }
    }
}
