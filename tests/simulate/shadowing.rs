//! The slow part of a path: log-normal shadowing, drift, steps.

use crate::near;
use tailbeat::simulate::dsp::STEP_S;
use tailbeat::simulate::path::PathGain;
use tailbeat::simulate::scenario::Path;

fn slow_db(path: &Path, seconds: f64, seed: u64) -> Vec<f64> {
    let mut gain = PathGain::new(path, 146.0, seed, "slow");
    (0..(seconds / STEP_S) as usize)
        .map(|step| gain.slow_db(step as f64 * STEP_S))
        .collect()
}

#[test]
fn shadowing_is_normal_in_decibels_with_its_spread_and_memory() {
    // Typical spreads are 5 to 12 dB (a textbook page, seen). A Gauss-Markov process: the share
    // within one sigma is 68.27 %, 90 % stay above -1.28155 sigma (the normal law), and the
    // correlation falls to 1/e in the memory's time.
    const SIGMA_DB: f64 = 6.0;
    const MEMORY_S: f64 = 2.0;
    let path = Path {
        shadow_db: SIGMA_DB,
        shadow_s: MEMORY_S,
        ..Path::default()
    };
    let db: Vec<f64> = (0..10).flat_map(|s| slow_db(&path, 1000.0, s)).collect();
    let n = db.len() as f64;
    let mean = db.iter().sum::<f64>() / n;
    let variance = db.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n;
    // 10 000 s are some 2500 independent values.
    near("mean", mean, 0.0, 3.0 * SIGMA_DB / 50.0);
    near("sigma", variance.sqrt(), SIGMA_DB, 0.05 * SIGMA_DB);
    let share = |level: f64| db.iter().filter(|x| **x > level).count() as f64 / n;
    near("above -1.28 sigma", share(-1.281_55 * SIGMA_DB), 0.9, 0.02);
    let within = share(-SIGMA_DB) - share(SIGMA_DB);
    near("within one sigma", within, 0.6827, 0.03);
    let lag = (MEMORY_S / STEP_S) as usize;
    let product: f64 = db.iter().zip(&db[lag..]).map(|(a, b)| a * b).sum();
    near(
        "after the memory",
        product / n / variance,
        (-1f64).exp(),
        0.06,
    );
}

#[test]
fn drift_and_steps_are_followed_to_the_letter() {
    let path = Path {
        drift_db_per_min: -12.0,
        steps: vec![[10.0, -3.0], [20.0, 4.0]],
        ..Path::default()
    };
    let db = slow_db(&path, 30.0, 1);
    let at = |t: f64| db[(t / STEP_S).round() as usize];
    for (t, want) in [(0.0, 0.0), (5.0, -1.0), (15.0, -6.0), (25.0, -1.0)] {
        near(&format!("at {t} s"), at(t), want, 1e-9);
    }
}
