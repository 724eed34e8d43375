//! Sound to feed: a committed recording of a cycling repeater with its squelch open, between
//! stretches of the same set's hiss.

use std::io::Write;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::sync::OnceLock;
use tailbeat::intake;

/// The recording that cycles, and its rate.
pub fn cycling() -> &'static (Vec<f32>, u32) {
    static KEPT: OnceLock<(Vec<f32>, u32)> = OnceLock::new();
    KEPT.get_or_init(|| {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let path = root.join("corpus/recordings/cycling-open-squelch-note.ogg");
        let mut recording = intake::open(&path).unwrap();
        let rate = recording.rate().hz();
        let mut samples = Vec::new();
        while let Some(block) = recording.next_block().unwrap() {
            samples.extend_from_slice(block.samples);
        }
        // At a third of the rate the tests take a third of the time.
        if rate.is_multiple_of(3) && rate >= 24_000 {
            let thinned = samples
                .chunks(3)
                .map(|c| c.iter().sum::<f32>() / c.len() as f32);
            (thinned.collect(), rate / 3)
        } else {
            (samples, rate)
        }
    })
}

/// Quiet, then cycling, then quiet again.
pub fn one_episode(before_s: usize, after_s: usize) -> Vec<f32> {
    let (sound, rate) = cycling();
    let quiet = |s: usize| vec![0.0; s * *rate as usize];
    [quiet(before_s), sound.clone(), quiet(after_s)].concat()
}

/// As bare 16-bit samples.
pub fn bytes(samples: &[f32]) -> Vec<u8> {
    let scaled = |s: &f32| ((s.clamp(-1.0, 1.0) * 32_767.0) as i16).to_le_bytes();
    samples.iter().flat_map(scaled).collect()
}

/// `tailbeat watch` with bare samples on its standard input.
pub fn watch(words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tailbeat"));
    let rate = cycling().1.to_string();
    command
        .args(["watch", "--rate", &rate, "--format", "s16le"])
        .args(words)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

/// Feeds all samples and waits for the end.
pub fn fed(mut command: Command, samples: &[f32]) -> Output {
    let mut run = command.spawn().unwrap();
    feed(&mut run, samples);
    drop(run.stdin.take());
    run.wait_with_output().unwrap()
}

/// Feeds samples and goes on.
pub fn feed(run: &mut Child, samples: &[f32]) {
    run.stdin
        .as_mut()
        .unwrap()
        .write_all(&bytes(samples))
        .unwrap();
}

/// The happenings on standard output.
pub fn happenings(output: &Output) -> Vec<serde_json::Value> {
    let text = String::from_utf8(output.stdout.clone()).unwrap();
    text.lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect()
}

/// The names of the happenings in a log, up to its last whole line.
pub fn logged(log: &Path) -> Vec<String> {
    let text = std::fs::read_to_string(log).unwrap_or_default();
    let whole = text.rfind('\n').map_or("", |end| &text[..end]);
    let json = |line| serde_json::from_str::<serde_json::Value>(line).unwrap();
    (whole.lines().map(json))
        .map(|h| h["event"].as_str().unwrap().to_owned())
        .collect()
}

/// Waits until a log tells this so many times. The bound only ends a test that has failed.
pub fn wait_for(log: &Path, event: &str, times: usize) {
    for _ in 0..2_400 {
        if logged(log).iter().filter(|e| *e == event).count() >= times {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    panic!("{event} not {times} times: {:?}", logged(log));
}

/// Sends a signal, as `kill` names it.
pub fn send(signal: &str, run: &Child) {
    let kill = Command::new("kill")
        .args([signal, &run.id().to_string()])
        .status();
    assert!(kill.unwrap().success());
}

/// A named pipe.
pub fn pipe(path: &Path) {
    assert!(Command::new("mkfifo").arg(path).status().unwrap().success());
}

/// Their names.
pub fn events(output: &Output) -> Vec<String> {
    (happenings(output).iter())
        .map(|h| h["event"].as_str().unwrap().to_owned())
        .collect()
}
