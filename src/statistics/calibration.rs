//! How good are stated probabilities?

use std::collections::BTreeMap;

/// A stated probability and what came true.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// Stated probability, 0 to 1.
    pub stated: f64,
    /// Whether it came true.
    pub happened: bool,
}

/// Murphy's (1973) split of the Brier score:
/// `brier = reliability - resolution + uncertainty + within_group`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Murphy {
    /// Mean squared distance of stated from observed frequency, group by group (0 is best).
    pub reliability: f64,
    /// Mean squared distance of the groups' frequencies from the overall one (large is good).
    pub resolution: f64,
    /// Variance of the outcome itself.
    pub uncertainty: f64,
    /// What is left because forecasts within one group differ; 0 when grouped by value.
    pub within_group: f64,
}

/// One row of a reliability table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Group {
    /// Forecasts in it.
    pub count: usize,
    /// Mean stated probability.
    pub mean_stated: f64,
    /// Share that came true.
    pub frequency: f64,
}

fn truth(happened: bool) -> f64 {
    f64::from(u8::from(happened))
}

/// Mean squared error of the stated probabilities (Brier 1950). `None` when empty.
#[must_use]
pub fn brier(forecasts: &[Forecast]) -> Option<f64> {
    if forecasts.is_empty() {
        return None;
    }
    let squares: f64 = forecasts
        .iter()
        .map(|f| (f.stated - truth(f.happened)).powi(2))
        .sum();
    Some(squares / forecasts.len() as f64)
}

/// Reliability table over `bins` bins of equal width, low to high; empty bins are left out.
/// A forecast on an edge belongs to the bin above it, 1.0 to the last.
#[must_use]
pub fn reliability_table(forecasts: &[Forecast], bins: usize) -> Vec<Group> {
    grouped(forecasts, |f| {
        ((f.stated * bins as f64).floor().max(0.0) as u64).min(bins.saturating_sub(1) as u64)
    })
}

/// Expected calibration error: `sum n_b/n |frequency - mean stated|` over bins of equal width
/// (Guo et al. 2017). `None` when empty.
#[must_use]
pub fn expected_calibration_error(forecasts: &[Forecast], bins: usize) -> Option<f64> {
    if forecasts.is_empty() || bins == 0 {
        return None;
    }
    let n = forecasts.len() as f64;
    let table = reliability_table(forecasts, bins);
    Some(
        table
            .iter()
            .map(|g| g.count as f64 / n * (g.frequency - g.mean_stated).abs())
            .sum(),
    )
}

/// Murphy's split with forecasts grouped by their exact value. `None` when empty.
#[must_use]
pub fn murphy(forecasts: &[Forecast]) -> Option<Murphy> {
    split(forecasts, &grouped(forecasts, |f| f.stated.to_bits()))
}

/// Murphy's split over `bins` bins of equal width. `None` when empty.
#[must_use]
pub fn murphy_binned(forecasts: &[Forecast], bins: usize) -> Option<Murphy> {
    (bins > 0).then_some(())?;
    split(forecasts, &reliability_table(forecasts, bins))
}

fn split(forecasts: &[Forecast], groups: &[Group]) -> Option<Murphy> {
    let score = brier(forecasts)?;
    let n = forecasts.len() as f64;
    let overall = forecasts.iter().map(|f| truth(f.happened)).sum::<f64>() / n;
    let weighted = |distance: &dyn Fn(&Group) -> f64| {
        groups
            .iter()
            .map(|g| g.count as f64 * distance(g).powi(2))
            .sum::<f64>()
            / n
    };
    let reliability = weighted(&|g| g.mean_stated - g.frequency);
    let resolution = weighted(&|g| g.frequency - overall);
    let uncertainty = overall * (1.0 - overall);
    let within_group = score - (reliability - resolution + uncertainty);
    Some(Murphy {
        reliability,
        resolution,
        uncertainty,
        within_group,
    })
}

fn grouped(forecasts: &[Forecast], key: impl Fn(&Forecast) -> u64) -> Vec<Group> {
    let mut sums: BTreeMap<u64, (usize, f64, f64)> = BTreeMap::new();
    for forecast in forecasts {
        let sum = sums.entry(key(forecast)).or_default();
        sum.0 += 1;
        sum.1 += forecast.stated;
        sum.2 += truth(forecast.happened);
    }
    let group = |(count, stated, happened): (usize, f64, f64)| Group {
        count,
        mean_stated: stated / count as f64,
        frequency: happened / count as f64,
    };
    sums.into_values().map(group).collect()
}
