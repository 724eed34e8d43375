//! On one thread or on several: the same, to the byte; errors and progress too.

use super::sound::{Sound, committed};
use std::io::Read;
use tailbeat::check::{CheckOptions, Share, check_on};
use tailbeat::intake;
use tailbeat::present::json;

/// The result as the command prints it, or the complaint, and the shares told.
fn told(
    threads: usize,
    open: impl Fn() -> tailbeat::Result<Box<dyn intake::recording::Recording>>,
) -> (String, Vec<f64>) {
    let mut shares = Vec::new();
    let mut progress = |share: Share| shares.push(share.done);
    let options = CheckOptions::default();
    let check = open().and_then(|recording| check_on(threads, recording, &options, &mut progress));
    let text = check.map_or_else(|fault| fault.to_string(), |check| json::check(&check));
    (text, shares)
}

const RECORDINGS: [&str; 8] = [
    "cycling-3s-hang-memo.m4a",
    "cycling-open-squelch-note.ogg",
    "cycling-phone-at-speaker.m4a",
    "fading-walk-stream.mp3",
    "gaps-cut-by-recorder.mp3",
    "kerchunks-mulaw-8k.wav",
    "link-loop-browser.webm",
    "talk-two-stations.flac",
];

#[test]
fn every_committed_recording_gives_the_same_bytes_and_progress() {
    for name in RECORDINGS {
        let on = |threads| told(threads, || intake::open(&committed(name)));
        let one = on(1);
        assert!(
            one.0.starts_with('{') && one.1.len() > 1,
            "{name}: {}",
            one.0
        );
        assert_eq!(on(2), one, "{name}");
        assert_eq!(on(3), one, "{name}");
    }
}

#[test]
fn a_recording_of_several_blocks_gives_the_same_bytes_from_a_file_and_from_a_stream() {
    // Eleven minutes: two whole blocks of the ear's and the rest.
    let sound = Sound::of("kerchunks-mulaw-8k.wav");
    let samples = sound.samples.iter().cycle().take(sound.at(680.0));
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: sound.rate_hz,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut bytes = std::io::Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
    for sample in samples {
        writer.write_sample((sample * 32_767.0) as i16).unwrap();
    }
    writer.finalize().unwrap();
    let bytes = bytes.into_inner();
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("long.wav");
    std::fs::write(&path, &bytes).unwrap();
    let from_file = |threads| told(threads, || intake::open(&path));
    let one = from_file(1);
    let drops = one.0.matches("\"carrier_drop\"").count();
    assert!(drops > 20, "{drops} drops");
    assert_eq!(from_file(2), one);
    let from_stream = |threads| {
        let bytes = bytes.clone();
        told(threads, move || {
            let stream: Box<dyn Read + Send> = Box::new(std::io::Cursor::new(bytes.clone()));
            intake::open_stream("-", stream)
        })
    };
    let (one, two) = (from_stream(1), from_stream(2));
    assert!(one.0.matches("\"carrier_drop\"").count() == drops);
    assert_eq!(one, two);
}

#[test]
fn what_cannot_be_checked_gets_the_same_complaint() {
    let dir = tempfile::tempdir().unwrap();
    let write = |name: &str, samples: &[f32]| {
        let path = dir.path().join(name);
        let spec = hound::WavSpec {
            channels: 1,
            sample_rate: 8_000,
            bits_per_sample: 32,
            sample_format: hound::SampleFormat::Float,
        };
        let mut writer = hound::WavWriter::create(&path, spec).unwrap();
        for sample in samples {
            writer.write_sample(*sample).unwrap();
        }
        writer.finalize().unwrap();
        path
    };
    let silent = write("silent.wav", &vec![0.0; 80_000]);
    let short = write("short.wav", &[0.1, -0.1, 0.2]);
    let numberless = write("numberless.wav", &vec![f32::NAN; 80_000]);
    for path in [silent, short, numberless] {
        let on = |threads| told(threads, || intake::open(&path)).0;
        let one = on(1);
        assert!(one.contains(".wav: "), "{one}");
        assert_eq!(on(2), one);
    }
}
