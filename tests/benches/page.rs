//! `reports/speed.md`.

use super::stages::THREADS;
use super::{Measured, ROUNDS, TIMED_S, containers, stages};
use std::fmt::Write as _;
use std::time::Duration;

/// The whole check may take so many times decoding alone.
const GOAL_RATIO: f64 = 1.5;
/// So many times faster than real time, 8 kHz WAV on one core.
const GOAL_SPEED: f64 = 10_000.0;
/// It may take so much memory, however long the recording is.
const GOAL_MB: f64 = 40.0;

/// So many hours in words.
fn length(hours: u32) -> String {
    match hours {
        24 => "a day".into(),
        h if h % 24 == 0 => format!("{} days", h / 24),
        1 => "an hour".into(),
        h => format!("{h} hours"),
    }
}

/// The page.
pub fn page(m: &Measured) -> String {
    let stage = |name: &str| {
        let found = m.stages.iter().find(|(n, _)| *n == name);
        found.map_or(f64::NAN, |(_, time)| time.as_secs_f64())
    };
    let baseline = stage(stages::BASELINE);
    let whole = stage(stages::WHOLE);
    let mut page = format!(
        "# Speed and memory\n\n\
         Written by `cargo bench --bench speed_report`; do not edit.\n\n\
         Ratios are to baselines in the same run, so they hold from machine to machine better than \
         the times do; every time is the median of {ROUNDS} rounds, but that of librosa \
         is one; where no threads are named, one works, with another beside it that makes the file's \
         digest. The system's load was {} before the run and {} after it (its own share of that is 1 \
         to 2): where it is well above, times are too long and ratios doubtful.\n\n\
         ## An hour of 8 kHz WAV\n\n\
         Made by the simulator: cycling, then talk, by open squelch. Each stage holds the one \
         before.\n\n\
         | stage | time | over the baseline | faster than real time |\n|---|---:|---:|---:|\n",
        m.load[0], m.load[1]
    );
    let line = |name: &str, time: Option<Duration>| {
        let Some(time) = time.map(|t| t.as_secs_f64()) else {
            return format!("| {name} | not at hand | | |\n");
        };
        let speed = f64::from(TIMED_S) / time;
        format!(
            "| {name} | {time:.2} s | {:.2} | {speed:.0} x |\n",
            time / baseline
        )
    };
    for (name, time) in &m.stages {
        page.push_str(&line(name, Some(*time)));
    }
    for (name, time) in [
        ("librosa: load, and the same FFTs", m.librosa),
        ("ffmpeg: decode, with the program's start", m.ffmpeg),
        ("ffmpeg: the same with silence detection", m.silences),
    ] {
        page.push_str(&line(name, time));
    }
    in_containers(&mut page, m);
    let worst = (m.containers.iter())
        .map(|c| c.check.as_secs_f64() / c.decode.as_secs_f64())
        .fold(f64::NAN, f64::max);
    let speed = f64::from(TIMED_S) / whole;
    let met = |yes| if yes { "met" } else { "**not met**" };
    let _ = write!(
        page,
        "\n## Goals\n\n| goal | measured | |\n|---|---:|---|\n\
         | the whole check takes at most {GOAL_RATIO} times decoding alone, in every container \
         | {worst:.1} times at worst | {} |\n\
         | {GOAL_SPEED:.0} times faster than real time, 8 kHz WAV | {speed:.0} times | {} |\n\
         | {} in less than {GOAL_MB:.0} MB resident, on one thread | {:.0} MB | {} |\n\n\
         An hour takes {:.0} MB on one thread and {:.0} MB on {THREADS}; {} (8-bit mu-law in RF64, \
         cycling and talk throughout) took {:.0} s on one thread, {:.0} times faster than real time. \
         Of what was found the latest is in memory, the rest in a temporary file.\n",
        met(worst <= GOAL_RATIO),
        met(speed >= GOAL_SPEED),
        length(m.hours),
        m.memory_long_mb,
        met(m.memory_long_mb < GOAL_MB),
        m.memory_1_h_mb,
        m.memory_threads_mb,
        length(m.hours),
        m.long_took.as_secs_f64(),
        f64::from(m.hours) * 3_600.0 / m.long_took.as_secs_f64()
    );
    page
}

fn in_containers(page: &mut String, m: &Measured) {
    let _ = write!(
        page,
        "\n## Other containers\n\n\
         {} minutes of the same sound. Decoding alone is by the program's own decoders, to the one \
         channel of samples that the check takes; ffmpeg's times hold the start of the program.\n\n\
         | | decode alone | whole check | ratio | on {THREADS} threads | faster than real time | \
         ffmpeg decodes | with silence detection |\n|---|---:|---:|---:|---:|---:|---:|---:|\n",
        containers::LENGTH_S / 60
    );
    let told =
        |time: Option<Duration>| time.map_or("-".into(), |t| format!("{:.2} s", t.as_secs_f64()));
    for c in &m.containers {
        let (decode, check) = (c.decode.as_secs_f64(), c.check.as_secs_f64());
        let _ = writeln!(
            page,
            "| {} | {decode:.2} s | {check:.2} s | {:.2} | {:.2} s | {:.0} x | {} | {} |",
            c.name,
            check / decode,
            c.threads.as_secs_f64(),
            f64::from(containers::LENGTH_S) / check,
            told(c.ffmpeg),
            told(c.silences)
        );
    }
    if m.containers.is_empty() {
        page.push_str("\nffmpeg, which makes them, is not at hand.\n");
    }
}
