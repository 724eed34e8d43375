//! Writes `reports/speed.md`: each floor's time over the baseline's in the same run, the whole
//! check over decoding alone in every container, other programs beside it, and the memory that a
//! recording of days takes. `cargo bench --bench speed_report`.
//!
//! `-- --hours 6` takes another length for the memory, `-- --out FILE` another place.

mod containers;
mod long;
mod outsiders;
mod page;
mod stages;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};
use tailbeat::check::{CheckOptions, check_on};

/// Length of the recording that is timed.
const TIMED_S: u32 = 3600;
/// Rounds over all stages; the stages take turns, so that a busy moment strikes all of them.
const ROUNDS: usize = 3;
/// Length of the recording whose memory is measured: seven days.
const LONG_HOURS: u32 = 168;
/// The child that checks one file and tells its own memory is called with this word.
const CHILD: &str = "--memory-of";
/// So many threads does it use.
const ON: &str = "--on";

/// Everything that was measured.
struct Measured {
    stages: Vec<(&'static str, Duration)>,
    containers: Vec<containers::Timed>,
    librosa: Option<Duration>,
    ffmpeg: Option<Duration>,
    silences: Option<Duration>,
    memory_1_h_mb: f64,
    memory_threads_mb: f64,
    hours: u32,
    memory_long_mb: f64,
    long_took: Duration,
    /// Others' use of the machine, before and after: processes that wanted to run.
    load: [String; 2],
}

fn main() {
    let words: Vec<String> = std::env::args().collect();
    let after = |word: &str| {
        let at = words.iter().position(|w| w == word)?;
        words.get(at + 1).cloned()
    };
    if let Some(file) = after(CHILD) {
        let threads = after(ON).map_or(1, |n| n.parse().expect("a number of threads"));
        println!("{}", own_peak_kb(Path::new(&file), threads));
        return;
    }
    // `cargo test --benches` only wants to know that it starts.
    if words.iter().any(|w| w == "--test") {
        return;
    }
    let hours = after("--hours").map_or(LONG_HOURS, |h| h.parse().expect("whole hours"));
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let out = after("--out").map_or_else(|| root.join("reports/speed.md"), PathBuf::from);
    let before = load();
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("speed.wav");
    stages::write(&path, TIMED_S);
    let stages = stage_times(&path);
    let librosa = outsiders::librosa(&path, stages::WINDOW, stages::HOP);
    let ffmpeg = outsiders::ffmpeg(&path, false);
    let silences = outsiders::ffmpeg(&path, true);
    let memory_1_h_mb = peak_mb(&path, 1);
    let memory_threads_mb = peak_mb(&path, stages::THREADS);
    std::fs::remove_file(&path).expect("the file that was made");
    let containers = containers::timed(dir.path(), ROUNDS);
    let path = dir.path().join("long.wav");
    let count = u64::from(hours) * 3_600 * u64::from(stages::RATE_HZ);
    long::write(&path, &stages::scene(), stages::RATE_HZ, count);
    let begun = Instant::now();
    let memory_long_mb = peak_mb(&path, 1);
    let measured = Measured {
        stages,
        containers,
        librosa,
        ffmpeg,
        silences,
        memory_1_h_mb,
        memory_threads_mb,
        hours,
        memory_long_mb,
        long_took: begun.elapsed(),
        load: [before, load()],
    };
    std::fs::write(&out, page::page(&measured)).expect("a place to write to");
    println!("{} is written", out.display());
}

/// Median time of each stage.
fn stage_times(path: &Path) -> Vec<(&'static str, Duration)> {
    let mut times = vec![Vec::new(); stages::STAGES.len()];
    for _ in 0..ROUNDS {
        for (stage, times) in stages::STAGES.iter().zip(&mut times) {
            let begun = Instant::now();
            (stage.run)(path);
            times.push(begun.elapsed());
        }
    }
    (stages::STAGES.iter().zip(times))
        .map(|(stage, times)| (stage.name, median(times)))
        .collect()
}

/// The middle one.
fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}

/// The mean number of processes that wanted to run in the last minute.
fn load() -> String {
    let text = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    text.split(' ').next().unwrap_or("unknown").to_owned()
}

/// Most memory that a process of its own held while it checked a file on so many threads.
fn peak_mb(path: &Path, threads: usize) -> f64 {
    let child = Command::new(std::env::current_exe().expect("this program"))
        .arg(CHILD)
        .arg(path)
        .args([ON, &threads.to_string()])
        .output()
        .expect("a process of its own");
    assert!(child.status.success(), "{child:?}");
    let kb: f64 = String::from_utf8_lossy(&child.stdout)
        .trim()
        .parse()
        .expect("a number");
    kb * 1024.0 / 1e6
}

fn own_peak_kb(path: &Path, threads: usize) -> u64 {
    let recording = tailbeat::intake::open(path).expect("a recording");
    let check = check_on(threads, recording, &CheckOptions::default(), &mut |_| {});
    let check = check.expect("a check");
    std::hint::black_box(&check);
    let status = std::fs::read_to_string("/proc/self/status").expect("Linux");
    let line = status.lines().find(|l| l.starts_with("VmHWM:"));
    let number = line.and_then(|l| l.split_whitespace().nth(1));
    number.and_then(|n| n.parse().ok()).expect("a number of kB")
}
