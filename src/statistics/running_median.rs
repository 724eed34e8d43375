//! The median of values that keep coming, without sorting them anew.

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

/// A number in its total order.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Ordered(f64);

impl Eq for Ordered {}

impl PartialOrd for Ordered {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Ordered {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// Values so far: the lower half with its largest at hand, the upper half with its smallest.
#[derive(Debug, Clone, Default)]
pub struct RunningMedian {
    low: BinaryHeap<Ordered>,
    high: BinaryHeap<Reverse<Ordered>>,
}

impl RunningMedian {
    /// The next value; NaN is left out.
    pub fn add(&mut self, value: f64) {
        if value.is_nan() {
            return;
        }
        self.low.push(Ordered(value));
        self.high.extend(self.low.pop().map(Reverse));
        if self.high.len() > self.low.len() {
            self.low.extend(self.high.pop().map(|top| top.0));
        }
    }

    /// The median as [`median`](super::quantiles::median) gives it. `None` before any value.
    #[must_use]
    pub fn get(&self) -> Option<f64> {
        let below = self.low.peek()?.0;
        match self.high.peek() {
            Some(Reverse(above)) if self.high.len() == self.low.len() => {
                Some(below + 0.5 * (above.0 - below))
            }
            _ => Some(below),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::quantiles::median;

    #[test]
    fn at_each_step_it_is_the_median() {
        let mut running = RunningMedian::default();
        let mut values = Vec::new();
        assert_eq!(running.get(), None);
        for n in 0..500_u32 {
            let value = match n % 50 {
                7 => f64::NAN,
                _ => f64::from(n * 7_919 % 101) / 3.0 - 11.0,
            };
            values.push(value);
            running.add(value);
            assert_eq!(running.get(), median(&values), "{n}");
        }
    }
}
