//! The mean threshold without a model of its distribution.

use super::dose_response::DoseGroup;

/// Estimate with its standard error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpearmanKarber {
    /// Mean threshold.
    pub mean: f64,
    /// Standard error; `None` where a partly responding level has a single trial.
    pub standard_error: Option<f64>,
}

/// Spearman-Karber estimate `sum (p[i+1] - p[i]) (x[i] + x[i+1]) / 2`, standard error from
/// `sum p q / (n - 1) ((x[i+1] - x[i-1]) / 2)^2` (as in Finney and Miller). Doses ascending.
/// The response must run from none to all or from all to none over the doses and be monotone;
/// otherwise the estimate would rest on an assumption about what was not tested, and is `None`.
#[must_use]
pub fn spearman_karber(groups: &[DoseGroup]) -> Option<SpearmanKarber> {
    let ascending = groups.windows(2).all(|pair| pair[0].dose < pair[1].dose);
    if groups.len() < 2 || !ascending || groups.iter().any(|g| g.trials == 0) {
        return None;
    }
    let falls = groups[0].responses > 0;
    let share = |g: &DoseGroup| {
        let p = g.fraction();
        if falls { 1.0 - p } else { p }
    };
    let monotone = groups
        .windows(2)
        .all(|pair| share(&pair[0]) <= share(&pair[1]));
    let (first, last) = (share(&groups[0]), share(&groups[groups.len() - 1]));
    if !monotone || first != 0.0 || last != 1.0 {
        return None;
    }
    let mean = groups
        .windows(2)
        .map(|w| (share(&w[1]) - share(&w[0])) * 0.5 * (w[0].dose + w[1].dose))
        .sum();
    let mut variance = Some(0.0);
    for w in groups.windows(3) {
        let p = share(&w[1]);
        let half = 0.5 * (w[2].dose - w[0].dose);
        let term = match w[1].trials {
            _ if p == 0.0 || p == 1.0 => Some(0.0),
            1 => None,
            n => Some(p * (1.0 - p) / f64::from(n - 1) * half * half),
        };
        variance = variance.zip(term).map(|(sum, term)| sum + term);
    }
    Some(SpearmanKarber {
        mean,
        standard_error: variance.map(f64::sqrt),
    })
}

/// Where the straight line from `(x0, p0)` to `(x1, p1)` crosses one half; take logarithms of
/// doses first where the dose is a ratio. `None` when it does not cross between them.
#[must_use]
pub fn half_crossing(x0: f64, p0: f64, x1: f64, p1: f64) -> Option<f64> {
    let crosses = (p0 - 0.5) * (p1 - 0.5) <= 0.0 && p0 != p1;
    crosses.then(|| x0 + (0.5 - p0) / (p1 - p0) * (x1 - x0))
}
