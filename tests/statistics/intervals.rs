//! Regular, exponential, or neither: coefficient of variation and Lilliefors' test.

use crate::near;
use rand::{RngExt, SeedableRng};
use tailbeat::statistics::exponential_fit::{critical_distance, lilliefors_exponential};
use tailbeat::statistics::quantiles::{
    MAD_TO_SD, median, median_absolute_deviation, median_interval, quantile,
};
use tailbeat::statistics::spread::{coefficient_of_variation, mean};

/// Proschan (1963), plane 7912 (from memory, sums check).
const PROSCHAN: [f64; 30] = [
    23.0, 261.0, 87.0, 7.0, 120.0, 14.0, 62.0, 47.0, 225.0, 71.0, 246.0, 21.0, 42.0, 20.0, 5.0,
    12.0, 120.0, 11.0, 3.0, 14.0, 71.0, 11.0, 14.0, 11.0, 16.0, 90.0, 1.0, 16.0, 52.0, 95.0,
];
/// R, data set boot::aircondit (from memory, sums check).
const AIRCONDIT: [f64; 12] = [
    3.0, 5.0, 7.0, 18.0, 43.0, 85.0, 91.0, 98.0, 100.0, 130.0, 230.0, 487.0,
];

#[test]
fn coefficient_of_variation_of_published_intervals() {
    near(mean(&PROSCHAN).unwrap(), 59.6, 1e-12);
    near(
        coefficient_of_variation(&PROSCHAN).unwrap(),
        1.206_120_364_1,
        1e-10,
    );
    near(
        coefficient_of_variation(&AIRCONDIT).unwrap(),
        1.260_435_4,
        1e-7,
    );
    assert_eq!(coefficient_of_variation(&[3.5; 9]), Some(0.0));
    assert_eq!(coefficient_of_variation(&[3.5]), None);
    assert_eq!(coefficient_of_variation(&[-1.0, 1.0]), None);
}

#[test]
fn lilliefors_p_is_not_the_plain_kolmogorov_smirnov_p() {
    // statsmodels 0.15.0, critical values after Lilliefors, JASA 64 (1969) 387 (seen):
    // p 0.02193 and 0.53054, by straight lines between coarse columns. Derived here: 4 000 000
    // simulations give 0.0209 and 0.5297. The naive p would be 0.1125 and 0.728.
    let proschan = lilliefors_exponential(&PROSCHAN).unwrap();
    near(proschan.distance, 0.213_167_733_1, 1e-10);
    near(proschan.p, 0.021_93, 0.0015);
    near(proschan.p, 0.0209, 0.0003);
    let aircondit = lilliefors_exponential(&AIRCONDIT).unwrap();
    near(aircondit.distance, 0.187_287_848_3, 1e-10);
    near(aircondit.p, 0.530_54, 0.01);
    near(aircondit.p, 0.5297, 0.004);
}

#[test]
fn critical_distances_of_lilliefors() {
    // statsmodels 0.15.0 `_lilliefors_critical_values.py`, 10^7 simulations (seen).
    for (n, distance) in [
        (5, 0.442_00),
        (10, 0.324_38),
        (20, 0.234_47),
        (30, 0.193_14),
    ] {
        near(critical_distance(n, 0.05).unwrap(), distance, 0.0006);
    }
    // n just over 30: 1.06 / sqrt(n) (same source). The limit: 1.094 / sqrt(n), Stephens, JASA 69
    // (1974) 730 (from memory).
    near(
        critical_distance(31, 0.05).unwrap() * 31f64.sqrt(),
        1.06,
        0.003,
    );
    near(
        critical_distance(1_000_000, 0.05).unwrap() * 1000.0,
        1.094,
        0.005,
    );
}

#[test]
fn a_regular_beat_lies_as_far_from_exponential_as_can_be() {
    let regular = lilliefors_exponential(&[3.5; 8]).unwrap();
    near(regular.distance, 1.0 - (-1f64).exp(), 1e-12);
    assert_eq!(regular.p, 0.001);
    assert_eq!(lilliefors_exponential(&[1.0, 2.0]), None);
    assert_eq!(lilliefors_exponential(&[1.0, -2.0, 3.0]), None);
    assert_eq!(lilliefors_exponential(&[0.0; 5]), None);
    assert_eq!(lilliefors_exponential(&[1.0, f64::NAN, 2.0, 3.0]), None);
}

#[test]
fn lilliefors_table_is_what_simulation_gives() {
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(7);
    for n in [3usize, 7, 12, 30, 75] {
        let runs = 20_000;
        let mut below = [0usize; 3];
        let chances = [0.5, 0.1, 0.02];
        for _ in 0..runs {
            let intervals: Vec<f64> = (0..n)
                .map(|_| -(1.0 - random.random::<f64>()).ln())
                .collect();
            let p = lilliefors_exponential(&intervals).unwrap().p;
            for (count, chance) in below.iter_mut().zip(chances) {
                *count += usize::from(p <= chance);
            }
        }
        for (count, chance) in below.into_iter().zip(chances) {
            let share = count as f64 / f64::from(runs);
            // Four standard deviations of the count and 3 % for lines between table rows.
            let tolerance =
                4.0 * (chance * (1.0 - chance) / f64::from(runs)).sqrt() + 0.03 * chance;
            near(share, chance, tolerance);
        }
    }
}

#[test]
fn order_statistics() {
    let values = [7.0, 1.0, 3.0, f64::NAN, 2.0];
    // Type 7 of Hyndman and Fan (1996), worked by hand.
    assert_eq!(median(&values), Some(2.5));
    assert_eq!(quantile(&values, 0.25), Some(1.75));
    assert_eq!(quantile(&values, 1.0), Some(7.0));
    assert_eq!(median_absolute_deviation(&values), Some(1.0));
    assert_eq!(median(&[f64::NAN]), None);
    assert_eq!(quantile(&[1.0, f64::INFINITY], 0.0), Some(1.0));
    // 1 / Phi^-1(0.75), any table of the normal distribution.
    near(MAD_TO_SD, 1.482_602, 1e-6);
}

#[test]
fn interval_of_the_median_covers_by_order_statistics() {
    // Binomial(1/2) tails by hand: 6 values, extremes, 1 - 2/64 = 0.96875; 5 values reach only
    // 0.9375; 10 values, 2nd and 9th, 1 - 22/1024 = 0.9785.
    let values: Vec<f64> = (1..=10).map(f64::from).collect();
    let interval = median_interval(&values, 0.95).unwrap();
    assert_eq!((interval.low, interval.high), (2.0, 9.0));
    let six = median_interval(&values[..6], 0.95).unwrap();
    assert_eq!((six.low, six.high), (1.0, 6.0));
    assert_eq!(median_interval(&values[..5], 0.95), None);
    assert_eq!(median_interval(&[], 0.95), None);
}
