//! Trials and the beat: how often it came back, and how regular that was.

use super::verdict::Rekey;
use crate::long_list::Part;
use crate::statistics::proportion::wilson;
use crate::statistics::quantiles::{MAD_TO_SD, median, median_absolute_deviation};
use crate::statistics::running_median::RunningMedian;
use crate::statistics::spread::coefficient_of_variation;
use crate::timeline::types::Drop;
use crate::tuning::cause as tuning;
use crate::units::Seconds;
use std::ops::Range;

/// Gaps of the drops that came back, seconds.
pub fn gaps(drops: Part<'_, Drop>) -> Vec<f64> {
    drops
        .iter()
        .filter(|d| d.came_back == Some(true))
        .filter_map(|d| d.gap)
        .map(Seconds::get)
        .collect()
}

/// How many came back, as far as it was heard; where it was not, drops at even distances count: whatever
/// beats like that, a user who keys anew does not. `even` is the [`evenest`] run.
pub fn cycles(drops: Part<'_, Drop>, even: &Range<usize>) -> usize {
    let beats = even.len() >= tuning::RUN_MIN;
    let back = |i: usize, d: &Drop| d.came_back.unwrap_or(beats && even.contains(&i));
    drops
        .iter()
        .enumerate()
        .filter(|(i, d)| back(*i, d))
        .count()
}

/// Key-up to next key-up over the drops that came back, seconds.
pub fn periods(drops: Part<'_, Drop>) -> Vec<f64> {
    drops
        .iter()
        .filter(|d| d.came_back == Some(true))
        .filter_map(|d| d.period())
        .map(Seconds::get)
        .collect()
}

/// On-times of the transmissions that a re-key began, seconds.
pub fn rekeyed_on_times(drops: Part<'_, Drop>) -> Vec<f64> {
    (drops.iter())
        .zip(drops.iter().skip(1))
        .filter(|(before, _)| before.came_back == Some(true))
        .filter_map(|(_, drop)| drop.on)
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
pub fn rekey(drops: Part<'_, Drop>) -> Option<Rekey> {
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
pub fn spacings(drops: Part<'_, Drop>) -> Vec<f64> {
    (drops.iter())
        .zip(drops.iter().skip(1))
        .map(|(before, drop)| (drop.drop - before.drop).get())
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
pub fn runs(drops: Part<'_, Drop>) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    // The run that goes on: its first drop, and the on-times of those that follow it.
    let mut on: Option<(usize, RunningMedian)> = None;
    let mut close = |from: usize, to: usize| {
        if to - from >= tuning::RUN_MIN {
            found.push(from..to);
        }
    };
    for (at, drop) in drops.iter().enumerate() {
        let back = drop.came_back == Some(true);
        if let Some((from, on_times)) = &mut on {
            let length = drop.on.map(Seconds::get).filter(|on| {
                (on_times.get())
                    .is_none_or(|m| (on - m).abs() <= tuning::RUN_ALIKE_SHARE * m.max(0.3))
            });
            match length {
                Some(length) if back => {
                    on_times.add(length);
                    continue;
                }
                // The one miss ends the run and belongs to it.
                Some(_) => {
                    close(*from, at + 1);
                    on = None;
                    continue;
                }
                None => {
                    close(*from, at);
                    on = None;
                }
            }
        }
        if back {
            on = Some((at, RunningMedian::default()));
        }
    }
    if let Some((from, _)) = on {
        close(from, drops.len());
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::long_list::LongList;
    use crate::timeline::types::TransmissionSound;
    use crate::units::Instant;

    fn drops(list: &[(f64, Option<bool>)]) -> LongList<Drop> {
        let one = |(at, came_back): &(f64, Option<bool>)| Drop {
            drop: Instant(*at),
            rekey: None,
            gap: None,
            on: None,
            blip: None,
            tail: None,
            came_back: *came_back,
            quieting: None,
            sound: TransmissionSound::default(),
        };
        list.iter().map(one).collect()
    }

    #[test]
    fn drops_at_even_distances_came_back_though_nothing_was_heard_of_it() {
        let of = |list: &[(f64, Option<bool>)]| {
            let drops = drops(list);
            cycles(drops.all(), &evenest(&spacings(drops.all())))
        };
        let unheard = [7.0, 13.7, 20.4, 27.1, 40.0].map(|t| (t, None));
        assert_eq!(of(&unheard), 3);
        assert_eq!(of(&[7.0, 13.7, 25.4, 27.1].map(|t| (t, None))), 0);
        // What was heard counts, be it even or not.
        assert_eq!(of(&[7.0, 13.7, 20.4, 27.1].map(|t| (t, Some(false)))), 0);
        let heard = [(7.0, Some(true)), (9.0, Some(false)), (30.0, Some(true))];
        assert_eq!(of(&heard), 2);
    }

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
