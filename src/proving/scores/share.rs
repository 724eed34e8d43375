//! A part of a whole with its interval.

use crate::proving::rules::CONFIDENCE;
use crate::statistics::Interval;
use crate::statistics::proportion::wilson;
use serde::Serialize;

/// `part` of `whole` with Wilson's interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Share {
    /// How many.
    pub part: usize,
    /// Of how many.
    pub whole: usize,
    /// `part / whole`.
    pub value: f64,
    /// 95 % Wilson interval.
    pub interval: Interval,
}

impl Share {
    /// `None` for a whole of nothing.
    #[must_use]
    pub fn of(part: usize, whole: usize) -> Option<Self> {
        let interval = wilson(part as u64, whole as u64, CONFIDENCE)?;
        Some(Self {
            part,
            whole,
            value: part as f64 / whole as f64,
            interval,
        })
    }
}
