//! A pair of bounds.

use serde::{Deserialize, Serialize};

/// Low and high end of an interval; the confidence is that which the maker was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Interval {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

impl Interval {
    /// Whether `value` lies within, ends included.
    #[must_use]
    pub fn contains(&self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// `high - low`.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.high - self.low
    }
}
