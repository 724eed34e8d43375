//! The expected-cost look-ahead for tests that lie, against brute force and rules of thumb.

use crate::near;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use tailbeat::site::chain::belief::update;
use tailbeat::site::chain::doubtful::{Doubtful, foremost};
use tailbeat::site::chain::price::{CutPrice, Cuts};
use tailbeat::site::chain::station::{TestResult, Trust};

fn result(after: usize, stays: bool) -> TestResult {
    TestResult {
        after,
        stays,
        looks: 1,
        date: None,
    }
}

/// A site drawn at random: 4 to 9 sections, a rigger for the last cuts.
fn site(random: &mut ChaCha8Rng, lie: Trust) -> (Doubtful, Vec<f64>) {
    let n = random.random_range(4..=9);
    let weights: Vec<f64> = (0..n).map(|_| 0.2 + random.random::<f64>()).collect();
    let total: f64 = weights.iter().sum();
    let prices = (0..n - 1).map(|i| {
        Some(CutPrice {
            base: 1.0 + 9.0 * random.random::<f64>(),
            rigger: i + 2 >= n,
        })
    });
    let doubtful = Doubtful {
        cuts: Cuts {
            prices: prices.collect(),
            rigger_call: 60.0,
        },
        trust: lie,
        looks: 1,
        sure_enough: 0.95,
    };
    (doubtful, weights.iter().map(|w| w / total).collect())
}

fn after(d: &Doubtful, belief: &[f64], cut: usize, stays: bool) -> (Vec<f64>, f64) {
    let (after, chance) = update(belief, &result(cut, stays), d.trust);
    (after.iter().map(|b| b / chance).collect(), chance)
}

fn sure(d: &Doubtful, belief: &[f64]) -> bool {
    foremost(belief, &d.cuts).unwrap().belief >= d.sure_enough
}

/// Price of the rule of least price per bit, played out to the end and no branch left out but
/// those that hardly ever happen.
fn by_rule(d: &Doubtful, belief: &[f64], called: bool, reach: f64) -> f64 {
    if reach < 1e-7 || sure(d, belief) {
        return 0.0;
    }
    let cut = d.cheapest_bit(belief, called).unwrap();
    let (price, then) = d.cuts.price(cut, called).unwrap();
    price
        + [true, false]
            .map(|stays| {
                let (next, chance) = after(d, belief, cut, stays);
                chance * by_rule(d, &next, then, reach * chance)
            })
            .iter()
            .sum::<f64>()
}

/// Every plan of `depth` tests, chosen outcome by outcome, each followed by the rule: all of them
/// written out, and the cheapest kept.
fn all_plans(
    d: &Doubtful,
    belief: &[f64],
    called: bool,
    depth: usize,
) -> Vec<(Option<usize>, f64)> {
    if sure(d, belief) {
        return vec![(None, 0.0)];
    }
    if depth == 0 {
        return vec![(None, by_rule(d, belief, called, 1.0))];
    }
    let mut plans = Vec::new();
    for cut in 0..d.cuts.prices.len() {
        let (price, then) = d.cuts.price(cut, called).unwrap();
        let side = |stays: bool| {
            let (next, chance) = after(d, belief, cut, stays);
            (chance, all_plans(d, &next, then, depth - 1))
        };
        let ((chance_1, first), (chance_2, second)) = (side(true), side(false));
        for (_, a) in &first {
            for (_, b) in &second {
                plans.push((Some(cut), price + chance_1 * a + chance_2 * b));
            }
        }
    }
    plans
}

#[test]
fn the_choice_is_the_cheapest_of_all_plans() {
    let mut random = ChaCha8Rng::seed_from_u64(11);
    let lie = Trust {
        shows: 0.85,
        false_alarm: 0.05,
    };
    for depth in [1, 2] {
        for _ in 0..12 {
            let (mut d, belief) = site(&mut random, lie);
            // Small chains: three cuts.
            d.cuts.prices.truncate(3);
            let total: f64 = belief[..4].iter().sum();
            let belief: Vec<f64> = belief[..4].iter().map(|b| b / total).collect();
            let best = all_plans(&d, &belief, false, depth)
                .into_iter()
                .map(|(_, cost)| cost)
                .fold(f64::INFINITY, f64::min);
            let chosen = d.choose(&belief, false, depth).unwrap();
            // What is carried through is cut off where a branch is reached less than twice in a
            // thousand: a share of the price.
            near(chosen.cost, best, 0.02 * best);
        }
    }
}

/// Ways to choose.
#[derive(Clone, Copy, Debug)]
enum Way {
    Ahead(usize),
    NearestFirst,
    Halving,
    AtRandom,
}

/// Cuts that part what is still suspected: both sides hold more than the doubt that is put up
/// with.
fn open(d: &Doubtful, belief: &[f64]) -> Vec<usize> {
    let slack = (1.0 - d.sure_enough) / 2.0;
    let mut before = 0.0;
    let mut list = Vec::new();
    for (cut, price) in d.cuts.prices.iter().enumerate() {
        before += belief[cut];
        if price.is_some() && before > slack && 1.0 - before > slack {
            list.push(cut);
        }
    }
    list
}

fn pick(way: Way, d: &Doubtful, belief: &[f64], called: bool, random: &mut ChaCha8Rng) -> usize {
    let open = open(d, belief);
    match way {
        Way::Ahead(depth) => d.choose(belief, called, depth).unwrap().cut,
        Way::NearestFirst => open[0],
        Way::Halving => open[(open.len() - 1) / 2],
        Way::AtRandom => open[random.random_range(0..open.len())],
    }
}

/// Price until sure, site by site, and the share of right answers: the same sites and faults for
/// each way.
fn search(way: Way, lie: Trust, sites: u32) -> (Vec<f64>, f64) {
    let mut draw = ChaCha8Rng::seed_from_u64(3);
    let (mut prices, mut right) = (Vec::new(), 0.0);
    for n in 0..sites {
        let (d, mut belief) = site(&mut draw, lie);
        let mut place = draw.random::<f64>();
        let fault = belief.iter().position(|b| {
            place -= b;
            place < 0.0
        });
        let fault = fault.unwrap_or(belief.len() - 1);
        let mut random = ChaCha8Rng::seed_from_u64(u64::from(n));
        let (mut called, mut paid) = (false, 0.0);
        while !sure(&d, &belief) {
            let cut = pick(way, &d, &belief, called, &mut random);
            let (price, then) = d.cuts.price(cut, called).unwrap();
            paid += price;
            called = then;
            let shows = if fault <= cut {
                lie.shows
            } else {
                lie.false_alarm
            };
            let stays = random.random::<f64>() < shows;
            belief = after(&d, &belief, cut, stays).0;
        }
        let found = foremost(&belief, &d.cuts).unwrap();
        right += f64::from(u8::from((found.first..=found.last).contains(&fault)));
        prices.push(paid);
    }
    (prices, right / f64::from(sites))
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// How much dearer `other` is in per cent, and by how many standard errors of the difference site
/// by site.
fn dearer(other: &[f64], ahead: &[f64]) -> (f64, f64) {
    let apart: Vec<f64> = other.iter().zip(ahead).map(|(a, b)| a - b).collect();
    let middle = mean(&apart);
    let squares = mean(&apart.iter().map(|d| d * d).collect::<Vec<f64>>());
    let error = ((squares - middle * middle) / apart.len() as f64).sqrt();
    (100.0 * middle / mean(ahead), middle / error)
}

#[test]
fn looking_ahead_beats_the_rules_of_thumb_when_tests_lie() {
    const SITES: u32 = 600;
    for (shows, false_alarm) in [(0.95, 0.02), (0.8, 0.05)] {
        let lie = Trust { shows, false_alarm };
        let (ahead, right) = search(Way::Ahead(1), lie, SITES);
        println!(
            "shows {shows}, false alarm {false_alarm}: {:.1}, right {right:.3}",
            mean(&ahead)
        );
        // It stops at a belief of 0.95, so that it is right that often or more.
        assert!(right > 0.94, "right {right}");
        let (bit, _) = search(Way::Ahead(0), lie, SITES);
        let (percent, errors) = dearer(&bit, &ahead);
        println!("  price per bit: {percent:.1} % dearer, {errors:.1} standard errors");
        assert!(errors > -2.0, "looking ahead costs more than its own rule");
        for way in [Way::NearestFirst, Way::Halving, Way::AtRandom] {
            let (thumb, _) = search(way, lie, SITES);
            let (percent, errors) = dearer(&thumb, &ahead);
            println!("  {way:?}: {percent:.1} % dearer, {errors:.1} standard errors");
            assert!(
                errors > 3.0,
                "{way:?}: {percent} %, {errors} standard errors"
            );
        }
    }
}
