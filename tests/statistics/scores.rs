//! Scores of stated probabilities.

use crate::near;
use tailbeat::statistics::calibration::{
    Forecast, brier, expected_calibration_error, murphy, murphy_binned, reliability_table,
};

fn forecasts(pairs: &[(f64, bool)]) -> Vec<Forecast> {
    pairs
        .iter()
        .map(|&(stated, happened)| Forecast { stated, happened })
        .collect()
}

/// 0.1 stated five times, true once; 0.7 stated five times, true three times.
fn ten() -> Vec<Forecast> {
    let group = |stated, yes: usize| {
        (0..5)
            .map(move |i| Forecast {
                stated,
                happened: i < yes,
            })
            .collect::<Vec<_>>()
    };
    [group(0.1, 1), group(0.7, 3)].concat()
}

#[test]
fn brier_of_four() {
    // scikit-learn, help of brier_score_loss (seen).
    let four = forecasts(&[(0.1, false), (0.9, true), (0.8, true), (0.3, false)]);
    near(brier(&four).unwrap(), 0.0375, 1e-15);
}

#[test]
fn ten_forecasts_split() {
    // Brier 1950; Guo et al. 2017 (definitions seen); numbers derived by hand.
    near(brier(&ten()).unwrap(), 0.21, 1e-15);
    near(expected_calibration_error(&ten(), 10).unwrap(), 0.10, 1e-15);
    let split = murphy(&ten()).unwrap();
    near(split.reliability, 0.01, 1e-15);
    near(split.resolution, 0.04, 1e-15);
    near(split.uncertainty, 0.24, 1e-15);
    near(split.within_group, 0.0, 1e-15);
}

#[test]
fn bins_keep_the_sum() {
    let mixed: Vec<Forecast> = (0..200)
        .map(|i| Forecast {
            stated: f64::from(i) / 199.0,
            happened: (i * i) % 7 < 3,
        })
        .collect();
    let split = murphy_binned(&mixed, 5).unwrap();
    near(
        split.reliability - split.resolution + split.uncertainty + split.within_group,
        brier(&mixed).unwrap(),
        1e-12,
    );
    assert!(
        split.within_group.abs() > 1e-6,
        "bins are not single values here"
    );
    let table = reliability_table(&mixed, 5);
    assert_eq!(table.iter().map(|g| g.count).sum::<usize>(), 200);
    assert_eq!(table.len(), 5);
    assert!(table.last().unwrap().mean_stated > 0.8);
}

#[test]
fn nothing_stated() {
    assert_eq!(brier(&[]), None);
    assert_eq!(expected_calibration_error(&[], 10), None);
    assert_eq!(murphy(&[]), None);
}
