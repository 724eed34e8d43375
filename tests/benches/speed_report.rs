//! Writes `reports/speed.md`: each floor's time over the baseline's in the same run, and the
//! memory that a long recording takes. `cargo bench --bench speed_report`.
//!
//! `-- --hours 6` takes another length for the memory, `-- --out FILE` another place.

mod stages;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};
use tailbeat::check::{CheckOptions, check_file};

/// Length of the recording that is timed.
const TIMED_S: u32 = 3600;
/// Rounds over all stages; the stages take turns, so that a busy moment strikes all of them.
const ROUNDS: usize = 5;
/// The whole check may take so many times the baseline.
const GOAL_RATIO: f64 = 3.0;
/// Length of the recording whose memory is measured.
const LONG_HOURS: u32 = 24;
/// It may take so much memory.
const GOAL_MB: f64 = 100.0;
/// The child that checks one file and tells its own memory is called with this word.
const CHILD: &str = "--memory-of";

fn main() {
    let words: Vec<String> = std::env::args().collect();
    let after = |word: &str| {
        let at = words.iter().position(|w| w == word)?;
        words.get(at + 1).cloned()
    };
    if let Some(file) = after(CHILD) {
        println!("{}", own_peak_kb(Path::new(&file)));
        return;
    }
    // `cargo test --benches` only wants to know that it starts.
    if words.iter().any(|w| w == "--test") {
        return;
    }
    let hours = after("--hours").map_or(LONG_HOURS, |h| h.parse().expect("whole hours"));
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let out = after("--out").map_or_else(|| root.join("reports/speed.md"), PathBuf::from);
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("speed.wav");
    stages::write(&path, TIMED_S);
    let times = medians(&path);
    let memory_1_h = peak_mb(&path);
    stages::write(&path, hours * 3600);
    let begun = Instant::now();
    let memory_long = peak_mb(&path);
    let took = begun.elapsed();
    let page = page(&times, memory_1_h, (hours, memory_long, took));
    std::fs::write(&out, page).expect("a place to write to");
    println!("{} is written", out.display());
}

/// Median time of each stage.
fn medians(path: &Path) -> Vec<Duration> {
    let mut times = vec![Vec::new(); stages::STAGES.len()];
    for _ in 0..ROUNDS {
        for (stage, times) in stages::STAGES.iter().zip(&mut times) {
            let begun = Instant::now();
            (stage.run)(path);
            times.push(begun.elapsed());
        }
    }
    times
        .into_iter()
        .map(|mut each| {
            each.sort();
            each[ROUNDS / 2]
        })
        .collect()
}

/// Most memory that a process of its own held while it checked a file.
fn peak_mb(path: &Path) -> f64 {
    let child = Command::new(std::env::current_exe().expect("this program"))
        .arg(CHILD)
        .arg(path)
        .output()
        .expect("a process of its own");
    assert!(child.status.success(), "{child:?}");
    let kb: f64 = String::from_utf8_lossy(&child.stdout)
        .trim()
        .parse()
        .expect("a number");
    kb * 1024.0 / 1e6
}

fn own_peak_kb(path: &Path) -> u64 {
    let check = check_file(path, &CheckOptions::default(), &mut |_| {}).expect("a check");
    std::hint::black_box(&check);
    let status = std::fs::read_to_string("/proc/self/status").expect("Linux");
    let line = status.lines().find(|l| l.starts_with("VmHWM:"));
    let number = line.and_then(|l| l.split_whitespace().nth(1));
    number.and_then(|n| n.parse().ok()).expect("a number of kB")
}

fn page(times: &[Duration], memory_1_h: f64, long: (u32, f64, Duration)) -> String {
    let baseline = (stages::STAGES.iter().zip(times))
        .find(|(stage, _)| stage.name == stages::BASELINE)
        .map_or(f64::NAN, |(_, time)| time.as_secs_f64());
    let mut page = String::from(
        "# Speed and memory\n\n\
         Written by `cargo bench --bench speed_report`; do not edit.\n\n\
         An hour of 8 kHz WAV, made by the simulator: cycling, then talk, by open squelch. Each \
         stage holds the one before. Ratios are to the baseline in the same run, so they hold \
         from machine to machine better than the times do; every time is the median of \
         several rounds on one core.\n\n\
         | stage | time | over the baseline | faster than real time |\n|---|---:|---:|---:|\n",
    );
    for (stage, time) in stages::STAGES.iter().zip(times) {
        let time = time.as_secs_f64();
        let _ = writeln!(
            page,
            "| {} | {time:.2} s | {:.2} | {:.0} x |",
            stage.name,
            time / baseline,
            f64::from(TIMED_S) / time
        );
    }
    let whole = times.last().map_or(f64::NAN, Duration::as_secs_f64) / baseline;
    let (hours, memory, took) = long;
    let met = |yes| if yes { "met" } else { "**not met**" };
    let _ = write!(
        page,
        "\n| goal | measured | |\n|---|---:|---|\n\
         | the whole check takes at most {GOAL_RATIO:.0} times decode only and the FFTs \
         | {whole:.1} times | {} |\n\
         | {hours} hours in less than {GOAL_MB:.0} MB resident | {memory:.0} MB | {} |\n\n\
         One hour takes {memory_1_h:.0} MB; {hours} hours took {:.0} s.\n",
        met(whole <= GOAL_RATIO),
        met(memory < GOAL_MB),
        took.as_secs_f64()
    );
    page
}
