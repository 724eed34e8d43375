//! Order statistics.

/// Scale that makes the median absolute deviation of normal data equal its standard deviation:
/// `1 / Phi^-1(0.75)`.
pub const MAD_TO_SD: f64 = 1.482_602_218_505_602;

/// Sorted copy without NaN.
#[must_use]
pub fn sorted(values: &[f64]) -> Vec<f64> {
    let mut kept: Vec<f64> = values.iter().copied().filter(|v| !v.is_nan()).collect();
    kept.sort_by(f64::total_cmp);
    kept
}

/// Quantile `q` (0 to 1) of sorted values, straight lines between the order statistics at
/// `(i)/(n-1)` (type 7 of Hyndman and Fan 1996). `None` when empty.
#[must_use]
pub fn quantile_sorted(sorted: &[f64], q: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let place = q.clamp(0.0, 1.0) * last as f64;
    let below = (place.floor() as usize).min(last);
    let above = (below + 1).min(last);
    let share = place - below as f64;
    // The bare value where no mixing is needed keeps infinities from turning into NaN.
    if share == 0.0 {
        return Some(sorted[below]);
    }
    Some(sorted[below] + share * (sorted[above] - sorted[below]))
}

/// Quantile of unsorted values; NaN is left out. `None` when nothing is left.
#[must_use]
pub fn quantile(values: &[f64], q: f64) -> Option<f64> {
    quantile_sorted(&sorted(values), q)
}

/// The same quantile of many `f32` by selection instead of sorting; 0 for nothing. The values must
/// not hold NaN.
#[must_use]
pub fn select_f32(values: impl Iterator<Item = f32>, q: f64) -> f32 {
    select_in_f32(&mut values.collect::<Vec<f32>>(), q)
}

/// The same where the values may be put into another order: several quantiles of the same ones.
#[must_use]
pub fn select_in_f32(all: &mut [f32], q: f64) -> f32 {
    let Some(last) = all.len().checked_sub(1) else {
        return 0.0;
    };
    let place = q.clamp(0.0, 1.0) * last as f64;
    let (_, below, above) = all.select_nth_unstable_by(place as usize, f32::total_cmp);
    let (below, share) = (*below, place.fract() as f32);
    if share == 0.0 {
        return below;
    }
    let next = above.iter().copied().fold(f32::INFINITY, f32::min);
    below + share * (next - below)
}

/// Median; NaN is left out. `None` when nothing is left.
#[must_use]
pub fn median(values: &[f64]) -> Option<f64> {
    quantile(values, 0.5)
}

/// Median absolute deviation from the median, not scaled (see [`MAD_TO_SD`]).
#[must_use]
pub fn median_absolute_deviation(values: &[f64]) -> Option<f64> {
    let centre = median(values)?;
    let deviations: Vec<f64> = values.iter().map(|v| (v - centre).abs()).collect();
    median(&deviations)
}

/// Distribution-free interval of the median from the sorted values themselves: the narrowest
/// symmetric pair of order statistics whose binomial coverage reaches `confidence`. `None` when
/// even the extremes do not reach it (fewer than 6 values at 0.95).
#[must_use]
pub fn median_interval(values: &[f64], confidence: f64) -> Option<super::Interval> {
    use statrs::distribution::{Binomial, DiscreteCDF};
    let kept = sorted(values);
    let n = kept.len();
    let law = Binomial::new(0.5, n as u64).ok()?;
    let coverage = |rank: usize| match rank.checked_sub(1) {
        Some(below) => 1.0 - 2.0 * law.cdf(below as u64),
        None => 1.0,
    };
    let rank = (1..=n / 2)
        .rev()
        .find(|&rank| coverage(rank) >= confidence)?;
    Some(super::Interval {
        low: kept[rank - 1],
        high: kept[n - rank],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn selecting_gives_what_sorting_gives() {
        let values: Vec<f32> = (0..57)
            .map(|i| ((i * 37) % 57) as f32 * 0.5 - 9.0)
            .collect();
        let sorted = sorted(&values.iter().copied().map(f64::from).collect::<Vec<_>>());
        for q in [0.0, 0.1, 0.33, 0.5, 0.9, 1.0] {
            let want = quantile_sorted(&sorted, q).unwrap();
            let got = f64::from(select_f32(values.iter().copied(), q));
            assert!((got - want).abs() < 1e-5, "{q}: {got} {want}");
        }
        let mut mixed = values.clone();
        for q in [0.9, 0.1, 0.5] {
            let alone = select_f32(values.iter().copied(), q);
            assert_eq!(select_in_f32(&mut mixed, q), alone);
        }
        assert_eq!(select_f32(std::iter::empty(), 0.5), 0.0);
    }
}
