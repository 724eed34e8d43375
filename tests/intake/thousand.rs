//! A thousand damaged variants of each container: no panic, no hang, bounded time and memory, and
//! what is refused is refused in one line. What each goes through is what the fuzzer does.

use crate::body;
use crate::damage::KINDS;
use crate::injury::Damage;
use crate::tools::folder;
use std::time::{Duration, Instant};

/// Variants of each.
const VARIANTS: u64 = 1_000;
/// Length of the whole ones.
const SECONDS: f64 = 2.0;
/// Longest that one may take, at the test build's speed on a busy machine: damaged time stamps may
/// claim ten minutes of silence.
const PATIENCE: Duration = Duration::from_secs(20);
/// All of them together may raise the process's peak by so much.
const MOST_KB: u64 = 300_000;

#[test]
fn a_thousand_variants_of_each_container_are_answered() {
    let folder = folder();
    let before = peak_kb();
    for kind in KINDS {
        let whole = kind.encode_short(&folder, SECONDS);
        let (begun, mut slowest) = (Instant::now(), Duration::ZERO);
        for seed in 0..VARIANTS {
            let damage = Damage::draw(seed, whole.len());
            let one = Instant::now();
            body::run(&damage.put_on(&whole, seed));
            let took = one.elapsed();
            assert!(
                took < PATIENCE,
                "{}, seed {seed}: {damage:?} took {took:?}",
                kind.name()
            );
            slowest = slowest.max(took);
        }
        println!(
            "{}: {:?}, slowest {slowest:?}",
            kind.name(),
            begun.elapsed()
        );
    }
    if let (Some(before), Some(after)) = (before, peak_kb()) {
        assert!(
            after < before + MOST_KB,
            "{before} kB before, {after} kB after"
        );
        println!("peak {before} kB before, {after} kB after");
    }
}

/// Highest resident memory of this process so far, where the system tells.
fn peak_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
