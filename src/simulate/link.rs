//! A second repeater on a link that, wrongly, carries tails too: each keys the other.

use super::controller::Controller;
use super::dsp::{Block, STEP_S};
use super::scenario::{Link, Repeater};

/// A yes-or-no that follows another with a delay either way.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Lagging {
    rise_s: f64,
    fall_s: f64,
    timer_s: f64,
    value: bool,
}

impl Lagging {
    fn step(&mut self, wanted: bool) -> bool {
        self.timer_s = if wanted == self.value {
            0.0
        } else {
            self.timer_s + STEP_S
        };
        let due = if wanted { self.rise_s } else { self.fall_s };
        if wanted != self.value && self.timer_s + STEP_S / 2.0 > due {
            self.value = wanted;
            self.timer_s = 0.0;
        }
        self.value
    }
}

/// The far repeater with both ends of the link. A link radio that sends does not hear.
#[derive(Debug, Clone)]
pub struct FarEnd {
    controller: Controller,
    /// The near end hears the far one.
    near_hears: Lagging,
    /// The far end hears the near one.
    far_hears: Lagging,
    far_keyed: bool,
}

impl FarEnd {
    /// A far end at rest.
    #[must_use]
    pub fn new(link: &Link) -> Self {
        let far = Repeater {
            hang_s: link.far.hang_s,
            courtesy: link.far.courtesy.clone(),
            ..Repeater::default()
        };
        let lagging = Lagging {
            rise_s: link.delay_s,
            fall_s: link.release_s,
            timer_s: 0.0,
            value: false,
        };
        Self {
            controller: Controller::new(&far),
            near_hears: lagging,
            far_hears: lagging,
            far_keyed: false,
        }
    }

    /// One step; returns whether the near repeater has an input by way of the link, and the far
    /// repeater's tones on it.
    pub fn step(&mut self, t_s: f64, near_keyed: bool) -> (bool, Block) {
        let near_sends = near_keyed && !self.near_hears.value;
        let far_sends = self.far_keyed && !self.far_hears.value;
        let far_hears = self.far_hears.step(near_sends && !far_sends);
        let near_hears = self.near_hears.step(far_sends && !near_sends);
        let orders = self.controller.step(t_s, far_hears);
        self.far_keyed = orders.keyed;
        (near_hears, orders.tones)
    }

    /// Tones that the far end sent.
    #[must_use]
    pub fn marks(&self) -> &[super::ledger::ToneMark] {
        &self.controller.marks
    }
}
