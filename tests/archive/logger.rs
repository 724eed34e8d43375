//! An invented logger's folder, made here and without the program's simulator.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

/// Samples a second.
pub const RATE: u32 = 8000;

/// A folder that goes away with the test.
pub fn folder() -> TempDir {
    tempfile::tempdir().unwrap()
}

/// The program.
pub fn tailbeat() -> Command {
    Command::new(env!("CARGO_BIN_EXE_tailbeat"))
}

fn noise(state: &mut u32) -> f32 {
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    (f64::from(*state) / f64::from(u32::MAX) * 2.0 - 1.0) as f32
}

/// Seconds `from` to `to` of an endless beat: hiss, with a quiet carrier of 2.4 s every 3 s. Two
/// pieces that follow each other are the whole, cut in two.
pub fn beat(path: &Path, from: u32, to: u32) {
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: RATE,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(path, spec).unwrap();
    let mut state = 0x1234_5678;
    for n in 0..to * RATE {
        let within = n % (3 * RATE);
        let level = if within < RATE * 24 / 10 { 0.004 } else { 0.35 };
        let sample = level * noise(&mut state);
        if n >= from * RATE {
            writer.write_sample((sample * 32_767.0) as i16).unwrap();
        }
    }
    writer.finalize().unwrap();
}

/// Three sites with two files each, one bad file, one note, one hidden file.
pub fn archive(root: &Path) {
    for (n, site) in ["coast", "hill", "mast"].into_iter().enumerate() {
        for hour in 0..2 {
            let name = format!("{site}/2026/03/2026-03-0{}_1{hour}-00-00.wav", n + 1);
            let n = n as u32;
            beat(&root.join(name), hour + n, 12 + 2 * n + hour);
        }
    }
    std::fs::write(
        root.join("hill/broken.wav"),
        "these are words\n".repeat(200),
    )
    .unwrap();
    std::fs::write(root.join("hill/notes.txt"), "antenna seen to").unwrap();
    std::fs::write(root.join("hill/.index.wav"), "hidden").unwrap();
}

/// Standard output's lines as JSON; what else came is in the panic's text.
pub fn lines_of(command: &mut Command) -> (i32, Vec<Value>, String) {
    let run = command.output().unwrap();
    let text = String::from_utf8(run.stdout).unwrap();
    let errors = String::from_utf8(run.stderr).unwrap();
    let lines = text.lines().map(|l| serde_json::from_str(l).unwrap());
    (run.status.code().unwrap_or(-1), lines.collect(), errors)
}

/// Whole lines of the results in a folder, as text, sorted.
pub fn results(dir: &Path) -> Vec<String> {
    let text = std::fs::read_to_string(dir.join("results.jsonl")).unwrap();
    let whole = text.rfind('\n').map_or("", |at| &text[..=at]);
    let mut lines: Vec<String> = whole.lines().map(str::to_owned).collect();
    lines.sort();
    lines
}

/// A path as the program is told it.
pub fn word(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// The committed recordings.
pub fn committed() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus/recordings")
}
