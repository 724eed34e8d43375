//! The place where a monotone function changes sign.

/// Halvings: enough to bring any bracket of doubles down to neighbouring numbers near 1.
const HALVINGS: usize = 100;

/// Root of `f` between `low` and `high` by bisection, or `None` when `f` has one sign at both
/// ends or is not a number there.
pub fn bisect(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> Option<f64> {
    let (at_low, at_high) = (f(low), f(high));
    if at_low == 0.0 {
        return Some(low);
    }
    if at_high == 0.0 {
        return Some(high);
    }
    if at_low.is_nan() || at_high.is_nan() || (at_low > 0.0) == (at_high > 0.0) {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if middle <= low.min(high) || middle >= low.max(high) {
            break;
        }
        if (f(middle) > 0.0) == (at_low > 0.0) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(0.5 * (low + high))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_root_of_two_and_refuses_one_sign() {
        let root = bisect(0.0, 2.0, |x| x * x - 2.0).unwrap();
        assert!((root - 2f64.sqrt()).abs() < 1e-15);
        assert_eq!(bisect(2.0, 3.0, |x| x * x - 2.0), None);
        assert_eq!(bisect(0.0, 1.0, |_| f64::NAN), None);
    }
}
