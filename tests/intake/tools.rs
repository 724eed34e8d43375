//! General tools that make the files, and reading them back through the intake.

use std::path::{Path, PathBuf};
use std::process::Command;
use tailbeat::intake;
use tailbeat::intake::recording::RecordingInfo;

/// A folder for one test's files, gone with it.
pub fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a temporary folder")
}

/// Runs a tool; a missing tool or a failure stops the test with the reason.
pub fn run(tool: &str, words: &[&str]) {
    let done = Command::new(tool).args(words).output();
    let done = match done {
        Ok(done) => done,
        Err(error) => panic!("{tool} must be installed for these tests ({error})"),
    };
    assert!(
        done.status.success(),
        "{tool} {} failed:\n{}",
        words.join(" "),
        String::from_utf8_lossy(&done.stderr)
    );
}

/// `ffmpeg -i FROM WORDS TO`, quietly, with the same bytes at every run.
pub fn ffmpeg(from: &Path, words: &[&str], to: &Path) {
    let mut all = vec!["-nostdin", "-v", "error", "-y", "-i", text(from)];
    all.extend(words);
    all.push(text(to));
    run("ffmpeg", &all);
}

/// A path as text.
pub fn text(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}

/// Everything that the intake gives for one file.
pub struct Heard {
    pub samples: Vec<f32>,
    pub rate: u32,
    pub info: RecordingInfo,
}

/// Reads a file to its end and checks that blocks follow one another without a seam.
pub fn hear(path: &Path) -> tailbeat::Result<Heard> {
    collect(intake::open(path)?)
}

/// Reads any recording to its end.
pub fn collect(
    mut recording: Box<dyn tailbeat::intake::recording::Recording>,
) -> tailbeat::Result<Heard> {
    let rate = recording.rate();
    let mut samples = Vec::new();
    while let Some(block) = recording.next_block()? {
        let at = rate.samples_to_seconds(samples.len() as u64).get();
        assert!(
            (block.start.get() - at).abs() < 1e-9,
            "seam at {at} s: {:?}",
            block.start
        );
        assert!(!block.samples.is_empty(), "an empty block at {at} s");
        assert!(
            block.samples.iter().all(|sample| sample.is_finite()),
            "no number near {at} s"
        );
        samples.extend_from_slice(block.samples);
    }
    let info = recording.finish()?;
    let length = rate.samples_to_seconds(samples.len() as u64);
    assert!((info.duration.get() - length.get()).abs() < 1e-9);
    Ok(Heard {
        samples,
        rate: rate.hz(),
        info,
    })
}

/// Writes 16-bit WAV, interleaved.
pub fn write_wav(path: &Path, rate: u32, channels: u16, samples: &[f32]) {
    let spec = hound::WavSpec {
        channels,
        sample_rate: rate,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(path, spec).expect("a WAV file");
    for sample in samples {
        writer
            .write_sample((sample * 32_767.0).round() as i16)
            .expect("a sample");
    }
    writer.finalize().expect("a WAV header");
}

/// The folder's file of that name.
pub fn file(folder: &tempfile::TempDir, name: &str) -> PathBuf {
    folder.path().join(name)
}
