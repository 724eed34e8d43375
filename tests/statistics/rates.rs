//! Two Poisson rates.

use crate::near;
use tailbeat::statistics::poisson_rates::{
    Counted, conditional_test, e_test, exact_interval, ratio_interval,
};

fn counted(events: u64, exposure: f64) -> Counted {
    Counted { events, exposure }
}

#[test]
fn none_against_three() {
    // Krishnamoorthy and Thomson, JSPI 119 (2004) 23-35, by scipy's poisson_means_test: test
    // seen, digits derived here.
    let (none, three) = (counted(0, 100.0), counted(3, 100.0));
    near(e_test(none, three).unwrap(), 0.088_379_009_3, 1e-9);
    let conditional = conditional_test(none, three).unwrap();
    near(conditional.less, 0.125, 1e-12);
    near(conditional.two_sided, 0.25, 1e-12);
}

#[test]
fn twelve_against_three() {
    // As above; interval of the ratio derived here (scipy 1.17.1).
    let (twelve, three) = (counted(12, 10.0), counted(3, 10.0));
    near(
        conditional_test(twelve, three).unwrap().two_sided,
        0.035_156_25,
        1e-12,
    );
    near(e_test(twelve, three).unwrap(), 0.019_703_45, 1e-8);
    let ratio = ratio_interval(twelve, three, 0.95).unwrap();
    near(ratio.low, 1.079_472_7, 1e-7);
    near(ratio.high, 22.088_286_9, 1e-6);
}

#[test]
fn exposure_counts() {
    // Twice the events in twice the time is the same rate.
    let (small, large) = (counted(10, 1.0), counted(20, 2.0));
    assert!(conditional_test(small, large).unwrap().two_sided > 0.99);
    assert!(e_test(small, large).unwrap() > 0.95);
    assert!(ratio_interval(small, large, 0.95).unwrap().contains(1.0));
    near(
        e_test(large, counted(3, 2.0)).unwrap(),
        e_test(counted(3, 2.0), large).unwrap(),
        1e-12,
    );
}

#[test]
fn nothing_to_compare() {
    assert_eq!(e_test(counted(1, 0.0), counted(1, 1.0)), None);
    assert_eq!(
        conditional_test(counted(1, 1.0), counted(1, f64::NAN)),
        None
    );
    assert_eq!(ratio_interval(counted(0, 1.0), counted(0, 1.0), 0.95), None);
    assert_eq!(e_test(counted(0, 1.0), counted(0, 1.0)), Some(1.0));
    assert!(
        ratio_interval(counted(2, 1.0), counted(0, 1.0), 0.95)
            .unwrap()
            .high
            .is_infinite()
    );
}

#[test]
fn exact_intervals_of_a_count() {
    // The usual table of exact Poisson limits, 95 %, as printed to two places (from memory).
    for (events, low, high) in [
        (0, 0.0, 3.69),
        (1, 0.03, 5.57),
        (5, 1.62, 11.67),
        (10, 4.80, 18.39),
    ] {
        let interval = exact_interval(events).unwrap();
        assert!((interval.low - low).abs() < 0.006, "{events}: {interval:?}");
        assert!(
            (interval.high - high).abs() < 0.006,
            "{events}: {interval:?}"
        );
    }
}
