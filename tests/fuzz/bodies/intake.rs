//! Any bytes as a container: no panic, no sample that is no number, an honest clock, an end.

use std::io::Cursor;
use tailbeat::intake;

/// No container of the fuzzer's size may be taken for longer than this, in samples: damaged time
/// stamps claim hours, and each is bounded by the intake's longest believed jump.
const MOST_SAMPLES: u64 = 2_000_000_000;

pub fn run(bytes: &[u8]) {
    let stream = Box::new(Cursor::new(bytes.to_vec()));
    let mut recording = match intake::open_stream("fuzzed", stream) {
        Ok(recording) => recording,
        Err(error) => return one_line(&error),
    };
    let rate = f64::from(recording.rate().hz());
    let mut samples = 0_u64;
    loop {
        match recording.next_block() {
            Ok(Some(block)) => {
                let expected = samples as f64 / rate;
                assert!(
                    (block.start.get() - expected).abs() < 1e-3,
                    "the clock jumps"
                );
                assert!(block.samples.iter().all(|s| s.is_finite()), "no number");
                samples += block.samples.len() as u64;
                assert!(samples < MOST_SAMPLES, "no end");
            }
            Ok(None) => break,
            Err(error) => return one_line(&error),
        }
    }
    match recording.finish() {
        Ok(info) => {
            assert!((info.duration.get() - samples as f64 / rate).abs() < 1e-3);
            assert!(
                info.damage
                    .iter()
                    .all(|d| d.lost.get() >= 0.0 && d.at.get().is_finite())
            );
        }
        Err(error) => one_line(&error),
    }
}

fn one_line(error: &tailbeat::Error) {
    let line = error.to_string();
    assert_eq!(line.lines().count(), 1, "{line}");
}
