//! What is timed: a recording to work on, and the floors of the house one upon the other.

use realfft::RealFftPlanner;
use std::hint::black_box;
use std::path::Path;
use tailbeat::acoustics::Analyser;
use tailbeat::check::{CheckOptions, check_file, check_on};
use tailbeat::intake;
use tailbeat::intake::recording::Recording;
use tailbeat::simulate::{Scenario, render};
use tailbeat::timeline::Reader;

/// Rate of the recordings that are timed.
pub const RATE_HZ: u32 = 8_000;

/// Two minutes with everything in them that costs time: cycling, then talk, open squelch.
const SCENE: &str = r#"
name = "speed"
cause = "self_desense"
duration_s = 120
[repeater]
hang_s = 2.0
desense.db = 8
courtesy = {}
[[user]]
hold = [[2, 60]]
in_window = 0.5
[traffic]
stations = 2
start_s = 65
[listener]
squelch = "open"
[recorder]
rate_hz = 8000
"#;

/// The scene's samples.
///
/// # Panics
/// The scene is wrong.
pub fn scene() -> Vec<f32> {
    let scene = Scenario::from_toml(SCENE, "speed.toml").expect("a sound scene");
    render(&scene, 1).expect("a rendering").samples
}

/// Writes a recording of this length: the scene, over and over.
///
/// # Panics
/// The disk is full.
pub fn write(path: &Path, seconds: u32) {
    let samples = scene();
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: RATE_HZ,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(path, spec).expect("a file");
    let count = seconds as usize * RATE_HZ as usize;
    for sample in samples.iter().cycle().take(count) {
        writer
            .write_sample((sample * 32_767.0) as i16)
            .expect("room on the disk");
    }
    writer.finalize().expect("room on the disk");
}

/// One of the things that are timed.
pub struct Stage {
    /// What it is called in results.
    pub name: &'static str,
    /// Does it once.
    pub run: fn(&Path),
}

/// The stages, each holding the one before; the second is the baseline.
pub const STAGES: [Stage; 6] = [
    Stage {
        name: "decode only",
        run: decode_only,
    },
    Stage {
        name: BASELINE,
        run: decode_and_transform,
    },
    Stage {
        name: "acoustics",
        run: |path| analysed(path, |block| _ = black_box(block)),
    },
    Stage {
        name: "timeline",
        run: |path| {
            let mut reader = Reader::new(None);
            analysed(path, |block| reader.push(block));
            black_box(&reader);
        },
    },
    Stage {
        name: WHOLE,
        run: whole_check,
    },
    Stage {
        name: "whole check on two threads",
        run: check_on_threads,
    },
];

/// The last of the stages on one thread.
pub const WHOLE: &str = "whole check";

/// Threads that a long recording is also checked on.
pub const THREADS: usize = 2;

/// What everything is measured by.
pub const BASELINE: &str = "decode only and the FFTs";

/// Hands every sample on to nobody.
pub fn decode_only(path: &Path) {
    each_block(path, |samples| _ = black_box(samples));
}

/// Everything, as most commands do it.
pub fn whole_check(path: &Path) {
    let check = check_file(path, &CheckOptions::default(), &mut |_| {});
    black_box(check.expect("a check"));
}

/// The same on [`THREADS`], as the command `check` does it for one recording.
pub fn check_on_threads(path: &Path) {
    let check = check_on(THREADS, opened(path), &CheckOptions::default(), &mut |_| {});
    black_box(check.expect("a check"));
}

fn opened(path: &Path) -> Box<dyn Recording> {
    intake::open(path).expect("a recording")
}

fn each_block(path: &Path, mut take: impl FnMut(&[f32])) {
    let mut recording = opened(path);
    while let Some(block) = recording.next_block().expect("sound") {
        take(block.samples);
    }
    black_box(recording.finish().expect("facts"));
}

/// Samples of a transform, 16 ms long ...
pub const WINDOW: usize = RATE_HZ as usize * 16 / 1000;
/// ... every 5 ms.
pub const HOP: usize = RATE_HZ as usize * 5 / 1000;

/// Decodes, and makes the transforms that the frames need, and no more.
fn decode_and_transform(path: &Path) {
    let fft = RealFftPlanner::<f32>::new().plan_fft_forward(WINDOW);
    let (mut input, mut output) = (fft.make_input_vec(), fft.make_output_vec());
    let mut scratch = fft.make_scratch_vec();
    let mut waiting: Vec<f32> = Vec::new();
    each_block(path, |samples| {
        waiting.extend_from_slice(samples);
        let mut at = 0;
        while at + WINDOW <= waiting.len() {
            input.copy_from_slice(&waiting[at..at + WINDOW]);
            fft.process_with_scratch(&mut input, &mut output, &mut scratch)
                .expect("buffers of the plan's own");
            black_box(&output);
            at += HOP;
        }
        waiting.drain(..at);
    });
}

fn analysed(path: &Path, mut take: impl FnMut(&tailbeat::acoustics::frames::FrameBlock)) {
    let mut recording = opened(path);
    let mut analyser = Analyser::new(recording.rate());
    let mut pass = |block: &_| -> Result<(), std::convert::Infallible> {
        take(block);
        Ok(())
    };
    while let Some(block) = recording.next_block().expect("sound") {
        let Ok(()) = analyser.push(block.samples, &mut pass);
    }
    let (last, leftover) = analyser.finish();
    let Ok(()) = pass(&last);
    black_box((leftover, recording.finish().expect("facts")));
}
