//! Intervals for a fraction `successes / trials`.

use super::interval::Interval;
use super::normal::two_sided_z;
use super::root::bisect;
use statrs::function::beta::beta_reg;

/// Wilson's score interval (E. B. Wilson 1927). `None` without trials or with more successes
/// than trials.
#[must_use]
pub fn wilson(successes: u64, trials: u64, confidence: f64) -> Option<Interval> {
    if trials == 0 || successes > trials {
        return None;
    }
    let (n, z) = (trials as f64, two_sided_z(confidence));
    let p = successes as f64 / n;
    let shrink = 1.0 + z * z / n;
    let centre = (p + z * z / (2.0 * n)) / shrink;
    let half = z * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt() / shrink;
    Some(Interval {
        low: if successes == 0 {
            0.0
        } else {
            (centre - half).max(0.0)
        },
        high: if successes == trials {
            1.0
        } else {
            (centre + half).min(1.0)
        },
    })
}

/// Exact interval of Clopper and Pearson (1934): binomial tails of `(1 - confidence)/2` each.
/// `None` as for [`wilson`].
#[must_use]
pub fn clopper_pearson(successes: u64, trials: u64, confidence: f64) -> Option<Interval> {
    if trials == 0 || successes > trials {
        return None;
    }
    let (k, n) = (successes as f64, trials as f64);
    let tail = 0.5 * (1.0 - confidence);
    let low = if successes == 0 {
        0.0
    } else {
        bisect(0.0, 1.0, |p| beta_reg(k, n - k + 1.0, p) - tail)?
    };
    let high = if successes == trials {
        1.0
    } else {
        bisect(0.0, 1.0, |p| beta_reg(k + 1.0, n - k, p) - (1.0 - tail))?
    };
    Some(Interval { low, high })
}

/// One-sided upper bound for the fraction when none of `trials` succeeded:
/// `1 - (1 - confidence)^(1/trials)`. `None` without trials.
#[must_use]
pub fn zero_of_n_upper(trials: u64, confidence: f64) -> Option<f64> {
    (trials > 0).then(|| 1.0 - (1.0 - confidence).powf(1.0 / trials as f64))
}

/// Least number of trials without success after which [`zero_of_n_upper`] is `bound` or less:
/// `ln(1 - confidence) / ln(1 - bound)`, rounded up. `None` for a bound outside 0 to 1.
#[must_use]
pub fn trials_for_upper_bound(bound: f64, confidence: f64) -> Option<u64> {
    if !(bound > 0.0 && bound < 1.0 && confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    let exact = (1.0 - confidence).ln() / (-bound).ln_1p();
    // A whole number of trials that lands on the bound but for rounding counts as reaching it.
    Some((exact - 1e-9).ceil().max(1.0) as u64)
}
