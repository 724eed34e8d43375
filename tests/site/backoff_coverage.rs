//! Do the intervals of the stepped test hold the truth as often as they say?

use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, Normal};
use tailbeat::backoff::estimate::estimate;
use tailbeat::backoff::trials::Level;
use tailbeat::statistics::dose_response::Link;
use tailbeat::units::Decibels;

/// Share of intervals that hold the truth, and the mean of low and high misses, for tests as they
/// are done: steps of 2 dB from 2 dB down to two steps past the last return.
fn coverage(scatter_db: f64, repeats: u32, runs: u32, seed: u64) -> f64 {
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
    let (mut held, mut judged) = (0u32, 0u32);
    while judged < runs {
        let truth = 3.0 + 12.0 * random.random::<f64>();
        let threshold = Normal::new(truth, scatter_db).unwrap();
        let mut levels = Vec::new();
        let mut stayed = 0;
        for step in 1..=14 {
            let backoff = 2.0 * f64::from(step);
            let back = (0..repeats)
                .filter(|_| threshold.sample(&mut random) > backoff)
                .count();
            levels.push(Level {
                backoff: Decibels(backoff),
                trials: repeats,
                came_back: back as u32,
            });
            stayed = if back == 0 { stayed + 1 } else { 0 };
            if stayed == 2 {
                break;
            }
        }
        let Ok(result) = estimate(&levels, Link::Probit) else {
            continue;
        };
        judged += 1;
        let above = result.low.is_none_or(|low| low.get() <= truth);
        let below = result.high.is_none_or(|high| truth <= high.get());
        held += u32::from(above && below);
    }
    f64::from(held) / f64::from(runs)
}

#[test]
fn intervals_hold_the_truth_over_the_scatter_that_a_signal_has() {
    for (scatter, repeats) in [
        (0.3, 1),
        (0.3, 3),
        (0.7, 1),
        (0.7, 3),
        (1.4, 1),
        (1.4, 3),
        (1.4, 6),
        (0.7, 6),
    ] {
        let share = coverage(scatter, repeats, 300, 11);
        println!("scatter {scatter} dB, {repeats} trials a level: {share:.3}");
        assert!(
            share >= 0.90,
            "scatter {scatter}, repeats {repeats}: {share}"
        );
    }
}
