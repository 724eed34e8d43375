//! What programs of other hands take for the plainest part of the work, in the same run.

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Loads a file and makes its plain transform twice, and tells how long the second time took.
const TRANSFORM: &str = "
import sys, time
import librosa
def work():
    sound, _ = librosa.load(sys.argv[1], sr=None)
    librosa.stft(sound, n_fft=int(sys.argv[2]), hop_length=int(sys.argv[3]), center=False)
work()
begun = time.perf_counter()
work()
print(time.perf_counter() - begun)
";

/// librosa's decoding and its plain transform of this window and hop, in samples; `None` where it
/// is not at hand.
pub fn librosa(path: &Path, window: usize, hop: usize) -> Option<Duration> {
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join(".venv/bin/python");
    let python = if own.exists() { own } else { "python3".into() };
    let run = Command::new(python)
        .args(["-c", TRANSFORM])
        .arg(path)
        .args([window.to_string(), hop.to_string()])
        .env("OMP_NUM_THREADS", "1")
        .stderr(Stdio::null())
        .output()
        .ok()
        .filter(|run| run.status.success())?;
    let seconds: f64 = String::from_utf8(run.stdout).ok()?.trim().parse().ok()?;
    Some(Duration::from_secs_f64(seconds))
}

/// ffmpeg's decoding on one core, and its silence detection too if wanted, with the start of the
/// program.
pub fn ffmpeg(path: &Path, silences: bool) -> Option<Duration> {
    let mut command = Command::new("ffmpeg");
    command
        .args(["-nostdin", "-v", "error", "-threads", "1", "-i"])
        .arg(path);
    if silences {
        command.args(["-af", "silencedetect=noise=-40dB:d=0.1"]);
    }
    let begun = Instant::now();
    let run = command.args(["-f", "null", "-"]).output().ok()?;
    run.status.success().then(|| begun.elapsed())
}

/// Puts a WAV file into another container; false where ffmpeg or its coder is not at hand.
pub fn encode(wav: &Path, words: &[&str], out: &Path) -> bool {
    Command::new("ffmpeg")
        .args(["-nostdin", "-v", "error", "-y", "-i"])
        .arg(wav)
        .args(words)
        .arg(out)
        .status()
        .is_ok_and(|status| status.success())
}
