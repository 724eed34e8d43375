//! Month by month: cycles per hour, share of drops that come back, desense.

use super::moment;
use super::store::rows::Month;
use super::view::{Trend, TrendMonth};
use std::collections::BTreeMap;

/// What came together in a month.
#[derive(Default)]
struct Sum {
    recordings: usize,
    seconds: f64,
    trials: i64,
    came_back: i64,
    desense: Vec<f64>,
}

/// The trend of recordings (by the month in which they were received) and of what was measured
/// (by the day that was typed, or else when it was kept).
#[must_use]
pub fn trend(recordings: &[Month], measured: &[(String, i64, f64)]) -> Trend {
    let mut months: BTreeMap<String, Sum> = BTreeMap::new();
    for part in recordings {
        let sum = months.entry(moment::month(part.made_at)).or_default();
        sum.recordings += 1;
        sum.seconds += part.duration_s.unwrap_or(0.0);
        sum.trials += part.trials.unwrap_or(0);
        sum.came_back += part.came_back.unwrap_or(0);
    }
    for (day, kept_at, desense) in measured {
        let month = month_of(day).unwrap_or_else(|| moment::month(*kept_at));
        months.entry(month).or_default().desense.push(*desense);
    }
    Trend {
        months: months
            .into_iter()
            .map(|(month, sum)| shown(month, sum))
            .collect(),
    }
}

/// The month of a day such as 2031-05-04.
fn month_of(day: &str) -> Option<String> {
    let date: jiff::civil::Date = day.trim().parse().ok()?;
    Some(format!("{:04}-{:02}", date.year(), date.month()))
}

fn shown(month: String, sum: Sum) -> TrendMonth {
    let hours = sum.seconds / 3600.0;
    let count = |number: i64| usize::try_from(number).unwrap_or(0);
    TrendMonth {
        month,
        hours,
        recordings: sum.recordings,
        cycles_per_hour: (hours > 0.0).then(|| count(sum.came_back) as f64 / hours),
        trials: count(sum.trials),
        came_back: count(sum.came_back),
        desense_db: crate::statistics::quantiles::median(&sum.desense),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_are_summed_and_measured_days_count() {
        let part = |made_at, came_back| Month {
            made_at,
            duration_s: Some(1800.0),
            trials: Some(20),
            came_back: Some(came_back),
        };
        // 2031-05-01 and 2031-05-02, 2031-06-01.
        let (may, june) = (1_935_532_800_000_000, 1_938_211_200_000_000);
        let recordings = [part(may, 18), part(may + moment::DAY, 2), part(june, 0)];
        let measured = [
            ("2031-05-04".to_owned(), june, 8.0),
            ("2031-05-05".to_owned(), june, 6.0),
            ("whenever".to_owned(), june, 1.0),
        ];
        let trend = trend(&recordings, &measured);
        let [may, june] = trend.months.as_slice() else {
            panic!("{trend:?}");
        };
        assert_eq!(
            (may.month.as_str(), june.month.as_str()),
            ("2031-05", "2031-06")
        );
        assert_eq!((may.recordings, may.trials, may.came_back), (2, 40, 20));
        assert_eq!(may.cycles_per_hour, Some(20.0));
        assert_eq!(may.desense_db, Some(7.0));
        assert_eq!(june.cycles_per_hour, Some(0.0));
        assert_eq!(june.desense_db, Some(1.0));
    }
}
