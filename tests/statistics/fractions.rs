//! Intervals of a fraction.

use crate::near;
use tailbeat::statistics::proportion::{
    clopper_pearson, trials_for_upper_bound, wilson, zero_of_n_upper,
};

/// Newcombe, Statistics in Medicine 17 (1998) 857-872, Table I: printed to four digits, which
/// are from memory; the further digits derived here (scipy 1.17.1).
const NEWCOMBE: [(u64, u64, f64, f64, f64, f64); 4] = [
    (
        81,
        263,
        0.255_288_519_9,
        0.366_209_577_0,
        0.252_736_745_6,
        0.367_621_922_6,
    ),
    (
        15,
        148,
        0.062_386_399_5,
        0.160_487_241_7,
        0.057_844_010_1,
        0.161_650_490_3,
    ),
    (0, 20, 0.0, 0.161_125_158_1, 0.0, 0.168_433_471_0),
    (
        1,
        29,
        0.006_113_214_3,
        0.171_755_218_8,
        0.000_872_646_9,
        0.177_644_295_5,
    ),
];

/// influentialpoints.com, "confidence intervals of proportions": 5/25 exact 0.068-0.407 seen,
/// the rest derived here (scipy 1.17.1).
const POINTS: [(u64, u64, f64, f64, f64, f64); 3] = [
    (
        5,
        25,
        0.088_605_853_5,
        0.391_309_499_9,
        0.068_311_463_7,
        0.407_037_432_3,
    ),
    (8, 10, 0.490_162_5, 0.943_317_8, 0.443_904_5, 0.974_789_3),
    (3, 20, 0.052_368_7, 0.360_418_9, 0.032_070_9, 0.378_926_8),
];

#[test]
fn wilson_and_exact_intervals_are_the_published_ones() {
    for (cases, tolerance) in [(&NEWCOMBE[..], 1e-9), (&POINTS[..], 1e-7)] {
        for &(k, n, wilson_low, wilson_high, exact_low, exact_high) in cases {
            let score = wilson(k, n, 0.95).unwrap();
            near(score.low, wilson_low, tolerance);
            near(score.high, wilson_high, tolerance);
            let exact = clopper_pearson(k, n, 0.95).unwrap();
            near(exact.low, exact_low, tolerance);
            near(exact.high, exact_high, tolerance);
        }
    }
}

#[test]
fn intervals_are_mirror_images_and_hold_the_fraction() {
    for n in 1..=40u64 {
        for k in 0..=n {
            for interval in [wilson, clopper_pearson] {
                let (direct, mirrored) = (
                    interval(k, n, 0.9).unwrap(),
                    interval(n - k, n, 0.9).unwrap(),
                );
                near(direct.low, 1.0 - mirrored.high, 1e-12);
                assert!(direct.contains(k as f64 / n as f64), "{k}/{n}: {direct:?}");
            }
        }
    }
    assert_eq!(wilson(0, 0, 0.95), None);
    assert_eq!(clopper_pearson(3, 2, 0.95), None);
}

#[test]
fn none_of_n_gives_the_upper_bound() {
    // Rule of three: Jovanovic and Levy, The American Statistician 51 (1997) 137 (seen);
    // digits derived here.
    for (n, bound) in [
        (10, 0.258_865_550_9),
        (30, 0.095_033_852_9),
        (100, 0.029_513_049_6),
    ] {
        near(zero_of_n_upper(n, 0.95).unwrap(), bound, 1e-10);
        assert!(zero_of_n_upper(n, 0.95).unwrap() < 3.0 / n as f64);
        assert_eq!(trials_for_upper_bound(bound + 1e-10, 0.95), Some(n));
        assert_eq!(trials_for_upper_bound(bound - 1e-6, 0.95), Some(n + 1));
    }
    assert_eq!(zero_of_n_upper(0, 0.95), None);
    assert_eq!(trials_for_upper_bound(0.0, 0.95), None);
}
