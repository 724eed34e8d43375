//! Belief, looks, tests that can lie.

use crate::near;
use rand::{RngExt, SeedableRng};
use tailbeat::site::chain::belief::{Contradiction, contradictions, update};
use tailbeat::site::chain::doubtful::{Doubtful, foremost};
use tailbeat::site::chain::hunt::{Rigger, Standing, hunt};
use tailbeat::site::chain::looks::{hides, needed};
use tailbeat::site::chain::price::{CutPrice, Cuts};
use tailbeat::site::chain::read::read;
use tailbeat::site::chain::station::{TestResult, Trust};

fn result(after: usize, stays: bool) -> TestResult {
    TestResult {
        after,
        stays,
        looks: 1,
        date: None,
    }
}

#[test]
fn bayes_after_one_doubtful_test() {
    // Derived here: desense still there with a load after part 3, 0.95 if the fault is at or
    // before it, 0.10 if beyond.
    let trust = Trust {
        shows: 0.95,
        false_alarm: 0.10,
    };
    let prior = [0.10, 0.15, 0.25, 0.20, 0.30];
    let (after, evidence) = update(&prior, &result(2, true), trust);
    near(evidence, 0.525, 1e-12);
    for (got, expected) in after
        .iter()
        .zip([0.180_952, 0.271_429, 0.452_381, 0.038_095, 0.057_143])
    {
        near(got / evidence, expected, 1e-6);
    }
}

#[test]
fn looks_at_an_intermittent_fault() {
    // (1 - 0.3)^5, and ln 0.05 / ln 0.7 = 8.399 (derived here).
    near(hides(0.3, 5), 0.168_07, 1e-12);
    assert_eq!(needed(0.3, 0.95), Some(9));
    assert_eq!(needed(0.5, 0.75), Some(2));
    assert_eq!(needed(1.0, 0.95), Some(1));
    assert_eq!(needed(0.0, 0.95), None);
    assert_eq!(needed(0.3, 1.0), None);
}

#[test]
fn contradictions_are_pairs() {
    let results = [
        result(3, true),
        result(1, false),
        result(4, false),
        result(3, false),
    ];
    assert_eq!(
        contradictions(&results),
        [
            Contradiction { stayed: 0, gone: 2 },
            Contradiction { stayed: 0, gone: 3 }
        ]
    );
}

const SITE: &str = r#"
rigger_call = 500
[[transmit]]
name = "transmitter"
kind = "transmitter"
[[transmit]]
name = "jumper"
kind = "jumper"
[[transmit]]
name = "duplexer"
kind = "duplexer"
[[transmit]]
name = "feed line"
kind = "feed_line"
[[transmit]]
name = "antenna"
kind = "antenna"
"#;

fn with(results: &str) -> tailbeat::site::chain::Hunt {
    hunt(&read("site.toml", &format!("{SITE}{results}")).unwrap())
}

fn entry(after: &str, desense: &str) -> String {
    format!("[[result]]\nload_after = \"{after}\"\ndesense = \"{desense}\"\n")
}

#[test]
fn results_narrow_the_search_down_to_the_tower() {
    let start = with("");
    assert!(matches!(start.standing, Standing::TestNext { cut, .. } if cut < 3));
    assert!(matches!(start.rigger, Rigger::NotYet { chance } if chance > 0.0 && chance < 1.0));
    let later = with(&entry("duplexer", "gone"));
    assert_eq!(later.belief[..3], [0.0, 0.0, 0.0]);
    assert_eq!(later.rigger, Rigger::Now);
    assert!(matches!(later.standing, Standing::TestNext { cut: 3, .. }));
    near(later.expected.rigger, 1.0, 1e-12);
    let done = with(&(entry("duplexer", "stays") + &entry("jumper", "gone")));
    assert!(matches!(done.standing, Standing::Found(s) if (s.first, s.last) == (2, 2)));
    assert_eq!(done.expected.cost, 0.0);
    assert_eq!(done.rigger, Rigger::NeverNeeded);
}

#[test]
fn contradicting_results_raise_a_flag_and_keep_a_belief() {
    let torn = with(&(entry("jumper", "stays") + &entry("duplexer", "gone")));
    assert_eq!(torn.contradictions.len(), 1);
    assert_eq!(torn.trust, Trust::DOUBTFUL);
    near(torn.belief.iter().sum(), 1.0, 1e-12);
    assert!(torn.belief.iter().all(|b| *b > 0.0));
    assert!(torn.looks_needed.is_some());
    let steady = with(&entry("jumper", "gone"));
    assert_eq!(steady.trust, Trust::FULL);
    assert_eq!(steady.looks_needed, None);
}

/// Average price and share of right answers of a way to choose the next cut, over sites with
/// tests that lie, all stopping at the same belief.
fn search(lie: Trust, next: impl Fn(&Doubtful, &[f64], bool) -> Option<usize>) -> (f64, f64) {
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(3);
    let (mut paid, mut right) = (0.0, 0.0);
    let sites = 400;
    for _ in 0..sites {
        let n = random.random_range(4..=9);
        let weights: Vec<f64> = (0..n).map(|_| 0.2 + random.random::<f64>()).collect();
        let total: f64 = weights.iter().sum();
        let mut belief: Vec<f64> = weights.iter().map(|w| w / total).collect();
        let prices = (0..n - 1)
            .map(|i| {
                Some(CutPrice {
                    base: 1.0 + 9.0 * random.random::<f64>(),
                    rigger: i + 2 >= n,
                })
            })
            .collect();
        let doubtful = Doubtful {
            cuts: Cuts {
                prices,
                rigger_call: 60.0,
            },
            trust: lie,
            looks: 1,
            sure_enough: 0.95,
        };
        let mut place = random.random::<f64>();
        let fault = belief.iter().position(|b| {
            place -= b;
            place < 0.0
        });
        let fault = fault.unwrap_or(n - 1);
        let mut called = false;
        for _ in 0..200 {
            if foremost(&belief, &doubtful.cuts).unwrap().belief >= doubtful.sure_enough {
                break;
            }
            let Some(cut) = next(&doubtful, &belief, called) else {
                break;
            };
            let (price, then) = doubtful.cuts.price(cut, called).unwrap();
            paid += price;
            called = then;
            let chance = if fault <= cut {
                lie.shows
            } else {
                lie.false_alarm
            };
            let stays = random.random::<f64>() < chance;
            let (after, evidence) = update(&belief, &result(cut, stays), lie);
            belief = after.iter().map(|b| b / evidence).collect();
        }
        let found = foremost(&belief, &doubtful.cuts).unwrap();
        right += f64::from(u8::from((found.first..=found.last).contains(&fault)));
    }
    (paid / f64::from(sites), right / f64::from(sites))
}

#[test]
fn looking_ahead_pays_when_tests_lie() {
    let lie = Trust {
        shows: 0.85,
        false_alarm: 0.05,
    };
    let ahead = search(lie, |d, belief, called| d.next(belief, called));
    // The cut at which the belief is split most evenly: the most telling one, whatever its price.
    let even = search(lie, |d, belief, _| {
        let mut sum = 0.0;
        let split: Vec<f64> = belief
            .iter()
            .map(|b| {
                sum += b;
                (sum - 0.5).abs()
            })
            .collect();
        (0..d.cuts.prices.len()).min_by(|a, b| split[*a].total_cmp(&split[*b]))
    });
    println!("look-ahead: {ahead:?}, even split: {even:?}");
    assert!(ahead.0 < even.0, "cost {} against {}", ahead.0, even.0);
    assert!(
        ahead.1 > 0.93 && even.1 > 0.93,
        "right {} and {}",
        ahead.1,
        even.1
    );
}
