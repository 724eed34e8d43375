//! Trials and the beat: how often it came back, and how regular that was.

use super::verdict::Rekey;
use crate::statistics::proportion::wilson;
use crate::statistics::quantiles::{MAD_TO_SD, median, median_absolute_deviation};
use crate::statistics::spread::coefficient_of_variation;
use crate::timeline::types::Drop;
use crate::tuning::cause as tuning;
use crate::units::Seconds;
use std::ops::Range;

/// Gaps of the drops that came back, seconds.
pub fn gaps(drops: &[Drop]) -> Vec<f64> {
    drops
        .iter()
        .filter(|d| d.came_back == Some(true))
        .filter_map(|d| d.gap)
        .map(Seconds::get)
        .collect()
}

/// Key-up to next key-up over the drops that came back, seconds.
pub fn periods(drops: &[Drop]) -> Vec<f64> {
    drops
        .iter()
        .filter(|d| d.came_back == Some(true))
        .filter_map(Drop::period)
        .map(Seconds::get)
        .collect()
}

/// On-times of the transmissions that a re-key began, seconds.
pub fn rekeyed_on_times(drops: &[Drop]) -> Vec<f64> {
    drops
        .windows(2)
        .filter(|w| w[0].came_back == Some(true))
        .filter_map(|w| w[1].on)
        .map(Seconds::get)
        .collect()
}

/// Spread over median, robust against single outliers: 1.48 MAD / median. `None` below three.
pub fn robust_variation(values: &[f64]) -> Option<f64> {
    if values.len() < 3 {
        return None;
    }
    let centre = median(values)?;
    (centre > 0.0).then(|| MAD_TO_SD * median_absolute_deviation(values).unwrap_or(0.0) / centre)
}

/// Outcomes of all trials; `None` without any.
pub fn rekey(drops: &[Drop]) -> Option<Rekey> {
    let trials = drops.iter().filter(|d| d.came_back.is_some()).count();
    let came_back = drops.iter().filter(|d| d.came_back == Some(true)).count();
    let interval = wilson(came_back as u64, trials as u64, 0.95)?;
    let (gaps, periods) = (gaps(drops), periods(drops));
    Some(Rekey {
        trials,
        came_back,
        fraction: came_back as f64 / trials as f64,
        low: interval.low,
        high: interval.high,
        gap_median: median(&gaps).map(Seconds),
        gap_cv: coefficient_of_variation(&gaps),
        period_median: median(&periods).map(Seconds),
        period_cv: coefficient_of_variation(&periods),
    })
}

/// Distances from drop to drop, seconds.
pub fn spacings(drops: &[Drop]) -> Vec<f64> {
    drops
        .windows(2)
        .map(|pair| (pair[1].drop - pair[0].drop).get())
        .collect()
}

/// The longest run of drops at even distances, as a range of `spacings`. A drop is heard more surely than
/// the key-up before it, which noise of a room may hide: here nothing is asked of key-ups.
pub fn evenest(spacings: &[f64]) -> Range<usize> {
    let mut best = 0..0;
    let mut from = 0;
    while from < spacings.len() {
        let (mut to, mut sum) = (from + 1, spacings[from]);
        while let Some(next) = spacings.get(to) {
            let mean = sum / (to - from) as f64;
            if (next - mean).abs() > tuning::EVEN_DROPS_S.max(tuning::EVEN_DROPS_SHARE * mean) {
                break;
            }
            sum += next;
            to += 1;
        }
        if to - from > best.len() {
            best = from..to;
        }
        from = to;
    }
    best
}

/// Runs of drops that came back with on-times alike, one miss in between allowed: the stretches
/// in which something beats. Each range holds the drops of one run.
pub fn runs(drops: &[Drop]) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut from = 0;
    while from < drops.len() {
        if drops[from].came_back != Some(true) {
            from += 1;
            continue;
        }
        let mut to = from + 1;
        let mut on_times: Vec<f64> = Vec::new();
        while to < drops.len() {
            let Some(on) = drops[to].on.map(Seconds::get) else {
                break;
            };
            let alike = median(&on_times)
                .is_none_or(|m| (on - m).abs() <= tuning::RUN_ALIKE_SHARE * m.max(0.3));
            if !alike {
                break;
            }
            on_times.push(on);
            to += 1;
            if drops[to - 1].came_back != Some(true) {
                break;
            }
        }
        if to - from >= tuning::RUN_MIN {
            found.push(from..to);
        }
        from = to.max(from + 1);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_most_even_stretch_is_found_between_strays() {
        let even = [4.6, 4.62, 4.58, 4.61];
        let all: Vec<f64> = [9.0, 2.0]
            .into_iter()
            .chain(even)
            .chain([7.5, 7.4, 1.0])
            .collect();
        assert_eq!(evenest(&all), 2..6);
        assert_eq!(evenest(&[1.0, 2.0, 4.0]).len(), 1);
        assert_eq!(evenest(&[]), 0..0);
        // A slow wander stays even as far as it stays near the middle of the run.
        let wandering: Vec<f64> = (0..20).map(|i| 2.0 + 0.004 * f64::from(i)).collect();
        assert_eq!(evenest(&wandering), 0..20);
    }
}
