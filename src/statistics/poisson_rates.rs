//! Two counts over two exposures: is the rate the same?

use super::interval::Interval;
use super::proportion::clopper_pearson;
use statrs::distribution::{Binomial, ContinuousCDF, Discrete, Gamma, Poisson};

/// A count of events in an exposure (hours of carrier, say).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counted {
    /// Events.
    pub events: u64,
    /// Exposure, in the same unit for both; positive.
    pub exposure: f64,
}

/// p values of the conditional test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConditionalTest {
    /// The first rate is the smaller one.
    pub less: f64,
    /// The first rate is the greater one.
    pub greater: f64,
    /// They differ; splits no likelier than the observed one are added up.
    pub two_sided: f64,
}

/// Exact 95 % interval of the mean of a count: the gamma quantiles of Garwood (1936).
#[must_use]
pub fn exact_interval(events: usize) -> Option<Interval> {
    let quantile = |shape: f64, p: f64| Some(Gamma::new(shape, 1.0).ok()?.inverse_cdf(p));
    let n = events as f64;
    Some(Interval {
        low: if events == 0 {
            0.0
        } else {
            quantile(n, 0.025)?
        },
        high: quantile(n + 1.0, 0.975)?,
    })
}

/// Relative distance within which two probabilities count as equal.
const TIE: f64 = 1e-7;

/// Share of the total exposure that the first has; `None` unless both are positive numbers.
fn first_share(first: Counted, second: Counted) -> Option<f64> {
    let sound = |c: Counted| c.exposure > 0.0 && c.exposure.is_finite();
    (sound(first) && sound(second)).then(|| first.exposure / (first.exposure + second.exposure))
}

/// Exact test that both rates are equal: given the total, the first count is binomial with the
/// first's share of the exposure. `None` without exposure.
#[must_use]
pub fn conditional_test(first: Counted, second: Counted) -> Option<ConditionalTest> {
    let share = first_share(first, second)?;
    let total = first.events + second.events;
    let law = Binomial::new(share, total).ok()?;
    let limit = law.pmf(first.events) * (1.0 + TIE);
    let sum = |counts: &dyn Fn(u64) -> bool| {
        (0..=total)
            .filter(|x| counts(*x))
            .map(|x| law.pmf(x))
            .sum::<f64>()
            .min(1.0)
    };
    Some(ConditionalTest {
        less: sum(&|x| x <= first.events),
        greater: sum(&|x| x >= first.events),
        two_sided: sum(&|x| law.pmf(x) <= limit),
    })
}

/// Exact interval of the ratio first rate / second rate: the Clopper-Pearson interval of the
/// binomial share, turned into a ratio. The high end is infinite when the second count is 0.
/// `None` without exposure or without any event.
#[must_use]
pub fn ratio_interval(first: Counted, second: Counted, confidence: f64) -> Option<Interval> {
    first_share(first, second)?;
    let share = clopper_pearson(first.events, first.events + second.events, confidence)?;
    let ratio = |p: f64| p / (1.0 - p) * second.exposure / first.exposure;
    Some(Interval {
        low: ratio(share.low),
        high: ratio(share.high),
    })
}

/// Two-sided E-test of Krishnamoorthy and Thomson (2004): the standardised difference is
/// compared with its law under the pooled rate. More powerful than [`conditional_test`] for
/// small counts. `None` without exposure.
#[must_use]
pub fn e_test(first: Counted, second: Counted) -> Option<f64> {
    first_share(first, second)?;
    let (t1, t2) = (first.exposure, second.exposure);
    let statistic = |x1: u64, x2: u64| {
        let (r1, r2) = (x1 as f64 / t1, x2 as f64 / t2);
        let variance = r1 / t1 + r2 / t2;
        if variance > 0.0 {
            (r1 - r2) / variance.sqrt()
        } else {
            0.0
        }
    };
    let observed = statistic(first.events, second.events).abs();
    let pooled = (first.events + second.events) as f64 / (t1 + t2);
    if pooled == 0.0 {
        return Some(1.0);
    }
    let (weights1, weights2) = (poisson_weights(pooled * t1)?, poisson_weights(pooled * t2)?);
    let mut p = 0.0;
    for &(x1, w1) in &weights1 {
        for &(x2, w2) in &weights2 {
            if statistic(x1, x2).abs() >= observed * (1.0 - TIE) {
                p += w1 * w2;
            }
        }
    }
    Some(p.min(1.0))
}

/// Counts with their Poisson probabilities, out to twelve standard deviations and a bit: what
/// is left out is far below the last digit that anybody prints.
fn poisson_weights(mean: f64) -> Option<Vec<(u64, f64)>> {
    let law = Poisson::new(mean).ok()?;
    let reach = 12.0 * mean.sqrt() + 25.0;
    let (from, to) = (
        (mean - reach).max(0.0).floor() as u64,
        (mean + reach).ceil() as u64,
    );
    Some((from..=to).map(|x| (x, law.pmf(x))).collect())
}
