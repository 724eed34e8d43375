//! Fisher's exact test.

use crate::near;
use tailbeat::statistics::counts_2x2::{Side, fisher_exact};

#[test]
fn tea_tasting() {
    // R, help of fisher.test (Agresti 1990): table and 0.2429 seen; 17/70 and the rest derived.
    near(
        fisher_exact([[3, 1], [1, 3]], Side::Greater),
        17.0 / 70.0,
        1e-12,
    );
    near(
        fisher_exact([[3, 1], [1, 3]], Side::TwoSided),
        0.485_714_285_7,
        1e-10,
    );
    near(
        fisher_exact([[4, 0], [0, 4]], Side::Greater),
        1.0 / 70.0,
        1e-12,
    );
}

#[test]
fn convictions_of_twins() {
    // R, help of fisher.test (Fisher 1970): table seen, p derived here (scipy 1.17.1).
    let table = [[2, 15], [10, 3]];
    near(fisher_exact(table, Side::Less), 0.000_465_180_9, 1e-10);
    near(fisher_exact(table, Side::TwoSided), 0.000_536_724_1, 1e-10);
}

#[test]
fn whales() {
    // scipy.stats.fisher_exact help: table seen, p derived here (scipy 1.17.1).
    near(
        fisher_exact([[8, 2], [1, 5]], Side::TwoSided),
        0.034_965_035_0,
        1e-10,
    );
}

#[test]
fn sides_are_mirror_images_and_share_the_observed_table() {
    for (a, b, c, d) in [
        (3u64, 1u64, 1u64, 3u64),
        (31, 3, 0, 18),
        (0, 5, 7, 2),
        (12, 9, 8, 14),
    ] {
        let less = fisher_exact([[a, b], [c, d]], Side::Less);
        near(less, fisher_exact([[b, a], [d, c]], Side::Greater), 1e-12);
        let greater = fisher_exact([[a, b], [c, d]], Side::Greater);
        assert!(
            less + greater > 1.0,
            "the observed table counts on both sides"
        );
    }
    assert_eq!(fisher_exact([[0, 0], [3, 4]], Side::TwoSided), 1.0);
    assert_eq!(fisher_exact([[0, 3], [0, 4]], Side::Less), 1.0);
}
