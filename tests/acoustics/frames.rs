//! What `tests/outside/acoustics_check.py` compares with scipy and librosa: for each rate a WAV
//! file and the frames that intake and acoustics made of it.

use crate::sounds;
use hound::{SampleFormat, WavSpec, WavWriter};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use tailbeat::acoustics::Analyser;
use tailbeat::acoustics::frames::{BAND_EDGES_HZ, FrameBlock};
use tailbeat::intake;

/// Rates with and without decimation, two of them with an analysis rate that is no 8 kHz.
const RATES_HZ: [u32; 5] = [8_000, 11_025, 16_000, 44_100, 48_000];

fn folder() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("acoustics");
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn write(rate: u32, path: &Path) {
    let spec = WavSpec {
        channels: 1,
        sample_rate: rate,
        bits_per_sample: 32,
        sample_format: SampleFormat::Float,
    };
    let mut writer = WavWriter::create(path, spec).unwrap();
    for sample in sounds::parts(rate) {
        writer.write_sample(sample).unwrap();
    }
    writer.finalize().unwrap();
}

/// The one block that a short recording gives.
fn read(path: &Path) -> FrameBlock {
    let mut recording = intake::open(path).unwrap();
    let mut analyser = Analyser::new(recording.rate());
    let mut early = |_: &FrameBlock| -> Result<(), String> { Err("more than one block".into()) };
    while let Some(block) = recording.next_block().unwrap() {
        analyser.push(block.samples, &mut early).unwrap();
    }
    analyser.finish().0
}

fn as_json(rate: u32, block: &FrameBlock) -> Value {
    let column = |of: fn(&tailbeat::acoustics::frames::Frame) -> Value| -> Vec<Value> {
        block.frames.iter().map(of).collect()
    };
    json!({
        "rate_hz": rate,
        "start_s": block.start.get(),
        "period_s": block.period.get(),
        "audio_start_s": block.audio_start.get(),
        "audio_rate_hz": block.audio_rate.hz(),
        "audio": block.audio,
        "band_edges_hz": BAND_EDGES_HZ,
        "level_db": column(|f| json!(f.level_db)),
        "low_db": column(|f| json!(f.low_db)),
        "bands_db": column(|f| json!(f.bands_db)),
        "tonality": column(|f| json!(f.tonality)),
        "peak_hz": column(|f| json!(f.peak_hz)),
        "peak": column(|f| json!(f.peak)),
    })
}

#[test]
fn writes_frames_for_the_live_check() {
    for rate in RATES_HZ {
        let path = folder().join(format!("parts-{rate}.wav"));
        write(rate, &path);
        let block = read(&path);
        let seconds = block.period.get() * block.frames.len() as f64;
        let expected = 4.5 * sounds::PART_S;
        assert!((seconds - expected).abs() < 0.02, "{rate}: {seconds} s");
        let text = serde_json::to_string(&as_json(rate, &block)).unwrap();
        std::fs::write(path.with_extension("json"), text).unwrap();
    }
}
