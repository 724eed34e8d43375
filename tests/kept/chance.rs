//! Mutation by chance, with the ordinary compiler and without coverage: seeds that are good files,
//! changed in a few places, through what the fuzzer does. A short round runs with the tests;
//! TAILBEAT_SOAK_S=900 makes it a quarter of an hour for each target, from another seed each time,
//! which is printed. What fails is written to `target/tmp/stumbled` first.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Tries of each target in the short round.
const TRIES: u64 = 150;
/// One try may take so long, at the test build's speed on a busy machine.
const PATIENCE: Duration = Duration::from_secs(60);

/// Tries one target on changed seeds of at most `longest` bytes.
pub fn try_out(target: &str, seeds: &[Vec<u8>], longest: usize, run: fn(&[u8])) {
    assert!(!seeds.is_empty(), "{target}: no seeds");
    let soak = std::env::var("TAILBEAT_SOAK_S")
        .ok()
        .and_then(|s| s.parse().ok());
    let seed = match soak {
        None => 1,
        Some(_) => std::time::UNIX_EPOCH.elapsed().map_or(1, |t| t.as_secs()),
    };
    println!("{target}: seed {seed}");
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let (begun, mut tries, mut slowest) = (Instant::now(), 0_u64, Duration::ZERO);
    let mut failed = Vec::new();
    loop {
        let over = match soak {
            None => tries >= TRIES,
            Some(seconds) => begun.elapsed() >= Duration::from_secs(seconds),
        };
        if over {
            break;
        }
        let mut bytes = seeds[rng.random_range(0..seeds.len())].clone();
        change(&mut bytes, seeds, &mut rng);
        bytes.truncate(longest);
        let one = Instant::now();
        let fine = catch_unwind(AssertUnwindSafe(|| run(&bytes))).is_ok();
        let took = one.elapsed();
        if !fine || took > PATIENCE {
            failed.push(keep(target, seed, tries, &bytes));
        }
        slowest = slowest.max(took);
        tries += 1;
    }
    println!(
        "{target}: {tries} tries in {:?}, slowest {slowest:?}",
        begun.elapsed()
    );
    assert!(failed.is_empty(), "{target} stumbled over {failed:?}");
}

/// One to eight changes: a flipped byte, a byte of note, a piece doubled, cut out, zeroed, or taken
/// from another seed, an end cut off.
fn change(bytes: &mut Vec<u8>, seeds: &[Vec<u8>], rng: &mut ChaCha8Rng) {
    for _ in 0..rng.random_range(1..=8) {
        if bytes.is_empty() {
            return;
        }
        // Heads decide most; half of the changes fall there.
        let reach = if rng.random_bool(0.5) {
            bytes.len().min(256)
        } else {
            bytes.len()
        };
        let from = rng.random_range(0..reach);
        let to = (from + rng.random_range(1..=64)).min(bytes.len());
        match rng.random_range(0..8) {
            0 | 1 => bytes[from] ^= 1 << rng.random_range(0..8),
            2 => bytes[from] = [0, 1, 0x7F, 0x80, 0xFF, b'0', b'-', b'"'][rng.random_range(0..8)],
            3 => {
                let piece = bytes[from..to].to_vec();
                bytes.splice(to..to, piece);
            }
            4 => drop(bytes.drain(from..to)),
            5 => bytes[from..to].fill(if rng.random_bool(0.5) { 0 } else { 0xFF }),
            6 => {
                let other = &seeds[rng.random_range(0..seeds.len())];
                let a = rng.random_range(0..other.len().max(1)).min(other.len());
                let b = (a + rng.random_range(1..=64)).min(other.len());
                bytes.splice(from..from, other[a..b].iter().copied());
            }
            _ => bytes.truncate(from.max(bytes.len() / 2)),
        }
    }
}

fn keep(target: &str, seed: u64, n: u64, bytes: &[u8]) -> PathBuf {
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("stumbled")
        .join(target);
    std::fs::create_dir_all(&dir).unwrap();
    let path = dir.join(format!("{seed}-{n}"));
    std::fs::write(&path, bytes).unwrap();
    path
}

/// The start of every file below a folder of the crate whose name ends so.
pub fn starts(folder: &str, endings: &[&str], most: usize) -> Vec<Vec<u8>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut paths: Vec<PathBuf> = std::fs::read_dir(root)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|p| endings.iter().any(|e| p.to_string_lossy().ends_with(e)))
        .collect();
    paths.sort();
    let mut all: Vec<Vec<u8>> = paths.iter().map(|p| std::fs::read(p).unwrap()).collect();
    all.iter_mut().for_each(|bytes| bytes.truncate(most));
    all
}
