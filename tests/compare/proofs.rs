//! What counts prove, and no more.

use crate::exhibits::{compared, heard, recording};
use crate::near;
use tailbeat::compare::change::Finding;
use tailbeat::compare::enough::{further_drops, no_fewer, same_share};
use tailbeat::compare::{Stated, compare};
use tailbeat::present::compare::leaf;
use tailbeat::present::numbers::plain;
use tailbeat::units::Seconds;

#[test]
fn the_published_tables() {
    // R's help of fisher.test: tea tasting (Agresti 1990; Fisher 1970), table and 0.2429 seen,
    // two-sided value derived here (scipy 1.17.1).
    near(no_fewer((3, 4), (1, 4)), 17.0 / 70.0, 1e-10);
    near(same_share((3, 4), (1, 4)), 0.485_714_285_7, 1e-9);
    // The same, all right: derived here.
    near(no_fewer((4, 4), (0, 4)), 1.0 / 70.0, 1e-10);
    // R's help: convictions of twins (Fisher 1970), table seen, values derived here (scipy).
    near(same_share((10, 13), (2, 17)), 0.000_536_724_1, 1e-9);
    near(no_fewer((10, 13), (2, 17)), 0.000_465_180_9, 1e-9);
    // scipy's help of fisher_exact: whales and sharks, table seen, value derived here.
    near(same_share((8, 10), (1, 6)), 0.034_965_035_0, 1e-9);
}

#[test]
fn findings_follow_from_the_counts() {
    let finding = |before, after| compared(before, after).share.finding;
    assert_eq!(finding((31, 34), (0, 18)), Finding::Gone);
    assert_eq!(finding((10, 13), (2, 17)), Finding::Fewer);
    assert_eq!(finding((2, 17), (10, 13)), Finding::More);
    assert_eq!(finding((0, 12), (0, 30)), Finding::NeverDid);
    assert!(matches!(finding((3, 4), (1, 4)), Finding::StillThere { further: Some(n) } if n > 0));
    assert_eq!(
        finding((8, 10), (8, 10)),
        Finding::StillThere { further: None }
    );
    // More than before, but not by more than chance: no further drop without a return can prove
    // that it comes back less often before it has.
    assert_eq!(
        finding((1, 4), (3, 4)),
        Finding::StillThere { further: None }
    );
    assert_eq!(
        finding((5, 5), (0, 0)),
        Finding::NoTrials {
            before: false,
            after: true
        }
    );
    // 5 of 6 against 0 of 2: p 0.107; with 0 of 3 it is 0.0476. Both by hand: the most extreme
    // of 56 and of 126 tables with 3 and with 6 as likely ones.
    near(same_share((5, 6), (0, 2)), 6.0 / 56.0, 1e-12);
    near(same_share((5, 6), (0, 3)), 6.0 / 126.0, 1e-12);
    assert_eq!(
        finding((5, 6), (0, 2)),
        Finding::TooFew { further: Some(1) }
    );
}

#[test]
fn the_number_of_further_drops_is_the_least_that_does() {
    // 1 of 1 against 0 of n has p = 1/(n+1), so that 19 are needed for 0.05.
    assert_eq!(further_drops((1, 1), (0, 0)), Some(19));
    assert_eq!(further_drops((1, 1), (0, 7)), Some(12));
    assert_eq!(further_drops((0, 9), (0, 3)), None, "nothing to fall");
    let mut tried = 0;
    for n in 1..=12u64 {
        for k in 1..=n {
            for (k_after, n_after) in [(0, 0), (0, 3), (1, 3), (2, 9)] {
                let Some(more) = further_drops((k, n), (k_after, n_after)) else {
                    continue;
                };
                tried += 1;
                let lower = |all: u64| k_after * n < k * all;
                let enough = |all: u64| lower(all) && same_share((k, n), (k_after, all)) <= 0.05;
                assert!(
                    enough(n_after + more),
                    "{k}/{n} {k_after}/{n_after} +{more}"
                );
                assert!((n_after..n_after + more).all(|all| !enough(all)));
            }
        }
    }
    assert!(tried > 200, "{tried}");
}

#[test]
fn intervals_are_the_published_ones() {
    // Newcombe, Statistics in Medicine 17 (1998) 857-872, Table I: four printed digits from
    // memory, further digits derived here (scipy 1.17.1).
    let of = compared((15, 148), (0, 20));
    let (before, after) = (&of.tally_before, &of.tally_after);
    let (wilson, exact) = (before.wilson.unwrap(), before.exact.unwrap());
    near(wilson.low, 0.062_386_399_5, 1e-9);
    near(wilson.high, 0.160_487_241_7, 1e-9);
    near(exact.low, 0.057_844_010_1, 1e-9);
    near(exact.high, 0.161_650_490_3, 1e-9);
    near(after.wilson.unwrap().high, 0.161_125_158_1, 1e-9);
    near(after.exact.unwrap().high, 0.168_433_471_0, 1e-9);
    assert_eq!(before.upper_bound, None, "only where none came back");
    // Rule of three: Jovanovic and Levy, The American Statistician 51 (1997) 137 (seen); digits
    // derived here.
    near(
        compared((5, 5), (0, 10)).tally_after.upper_bound.unwrap(),
        0.258_865_550_9,
        1e-9,
    );
    near(
        compared((5, 5), (0, 30)).tally_after.upper_bound.unwrap(),
        0.095_033_852_9,
        1e-9,
    );
}

/// Sets whose carrier time is an hour each, or as given.
fn rates(before: u64, after: u64) -> tailbeat::compare::change::RateChange {
    let set = |name: &str, cycles: u64| {
        let mut heard = heard(name, cycles, cycles.max(1));
        heard.carrier = Seconds(3600.0);
        vec![recording(heard)]
    };
    compare(set("b", before), set("a", after), Stated::default())
        .unwrap()
        .rate
        .unwrap()
}

#[test]
fn two_poisson_rates() {
    // Krishnamoorthy and Thomson, JSPI 119 (2004) 23-35, by scipy's poisson_means_test: test
    // seen, digits derived here.
    let of = rates(3, 0);
    near(of.p_e_test.unwrap(), 0.088_379_009_3, 1e-9);
    near(of.p_two_sided, 0.25, 1e-12);
    near(of.before_per_hour, 3.0, 1e-12);
    let of = rates(12, 3);
    near(of.p_two_sided, 0.035_156_25, 1e-12);
    near(of.p_e_test.unwrap(), 0.019_703_45, 1e-8);
    // The interval of before over after is 1.0794727 to 22.0882869 (derived here, scipy), so that
    // of after over before is its mirror image.
    let ratio = of.ratio.unwrap();
    near(ratio.low, 1.0 / 22.088_286_9, 1e-9);
    near(ratio.high, 1.0 / 1.079_472_7, 1e-7);
    assert!(rates(0, 0).ratio.is_none());
    assert!(rates(0, 2).ratio.unwrap().high.is_infinite());
}

#[test]
fn recordings_of_a_set_add_up() {
    let of = compare(
        vec![recording(heard("1", 9, 10)), recording(heard("2", 8, 10))],
        vec![recording(heard("3", 0, 6)), recording(heard("4", 0, 6))],
        Stated::default(),
    )
    .unwrap();
    assert_eq!(
        (of.tally_before.came_back, of.tally_before.trials),
        (17, 20)
    );
    assert_eq!(of.tally_after.recordings, 2);
    near(of.tally_before.carrier.get(), 66.0, 1e-9);
    let hang = of.tally_before.hang.unwrap();
    near(hang.estimate.get(), 3.0, 1e-12);
    assert_eq!(hang.count, 20);
    let period = of.tally_before.period.unwrap();
    near(period.median, 3.5, 1e-12);
    assert_eq!((period.count, of.tally_after.period), (17, None));
}

#[test]
fn nothing_counts_twice_or_on_both_sides() {
    let once = || recording(heard("same.wav", 3, 4));
    let other = || recording(heard("other.wav", 0, 4));
    let both = compare(vec![once()], vec![once()], Stated::default()).unwrap_err();
    assert!(
        both.to_string()
            .starts_with("--after same.wav: holds the same as same.wav of --before")
    );
    let twice = compare(vec![once(), once()], vec![other()], Stated::default()).unwrap_err();
    assert!(twice.to_string().contains("count twice"), "{twice}");
    let empty = compare(vec![], vec![other()], Stated::default()).unwrap_err();
    assert!(
        empty.to_string().starts_with("--before: there is no file"),
        "{empty}"
    );
}

/// The words never say more than the counts: for every small table, what stands in the headline
/// and the paragraph is checked against the counts themselves.
#[test]
fn the_statement_is_no_stronger_than_the_data() {
    let mut seen = std::collections::BTreeSet::new();
    for n_before in 0..=8u64 {
        for k_before in 0..=n_before {
            for n_after in 0..=8u64 {
                for k_after in 0..=n_after {
                    let of = compared((k_before, n_before), (k_after, n_after));
                    let said = leaf(&of);
                    let (headline, paragraph) = (plain(&said.headline), plain(&said.paragraph));
                    let whole = format!("{headline} {paragraph}").to_lowercase();
                    for strong in [
                        "repaired",
                        "cured",
                        "proves",
                        "fixed",
                        "certain",
                        "never again",
                    ] {
                        assert!(!whole.contains(strong), "{strong}: {whole}");
                    }
                    let claims = headline.starts_with("It no longer came back");
                    let p = same_share((k_before, n_before), (k_after, n_after));
                    assert_eq!(
                        claims,
                        n_before > 0 && n_after > 0 && k_after == 0 && k_before > 0 && p <= 0.05,
                        "{k_before}/{n_before} {k_after}/{n_after}: {headline}"
                    );
                    if claims {
                        assert!(whole.contains("is not never: at 95 % up to"), "{whole}");
                        assert!(whole.contains("held at its dropping point"), "{whole}");
                    }
                    if headline.starts_with("Too few") {
                        assert!(
                            whole.contains("would do for 95 %") || whole.contains("no reasonable"),
                            "{whole}"
                        );
                    }
                    seen.insert(headline.split(':').next().unwrap().to_owned());
                }
            }
        }
    }
    assert_eq!(seen.len(), 7, "{seen:?}");
}
