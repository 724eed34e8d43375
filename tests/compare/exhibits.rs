//! Sets written by hand: the counts are the cause, not the result, of a detector.

use tailbeat::backoff::trials::Trial;
use tailbeat::cause::verdict::{Cause, Label};
use tailbeat::compare::evidence::Recorder;
use tailbeat::compare::{Comparison, Content, Exhibit, Heard, Stated, SteppedTest, compare};
use tailbeat::timeline::types::{Drop, HangTime, ListeningMode, TransmissionSound};
use tailbeat::units::{Decibels, Hertz, Instant, Seconds};

/// A digest that belongs to a name alone.
pub fn digest(name: &str) -> String {
    let sum = name.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| {
        (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("{sum:016x}").repeat(4)
}

/// A recording in which so many of so many drops came back, the returns first; hang time 3 s.
pub fn heard(name: &str, came_back: u64, trials: u64) -> Heard {
    let drops: Vec<Drop> = (0..trials)
        .map(|n| {
            let back = n < came_back;
            let at = Instant(3.3 + 3.5 * n as f64);
            Drop {
                drop: at,
                rekey: back.then(|| at + Seconds(0.2)),
                gap: back.then_some(Seconds(0.2)),
                on: Some(Seconds(3.3)),
                blip: Some(Seconds(0.3)),
                tail: Some(Seconds(3.0)),
                came_back: Some(back),
                quieting: Some(Decibels(5.0)),
                sound: TransmissionSound::default(),
            }
        })
        .collect();
    Heard {
        name: name.into(),
        sha256: digest(name),
        started_at: None,
        duration: Seconds(3.5 * trials as f64 + 5.0),
        recorder: Recorder {
            container: "wav".into(),
            codec: "pcm_s16le".into(),
            sample_rate_hz: 16_000,
            channels: 1,
            bandwidth: Some(Hertz(3500.0)),
        },
        mode: ListeningMode::OpenSquelch,
        carrier: Seconds(3.3 * trials as f64),
        drops,
        hang: (trials > 0).then_some(HangTime {
            estimate: Seconds(3.0),
            low: Seconds(2.98),
            high: Seconds(3.02),
            count: trials as usize,
        }),
        label: if came_back > 0 {
            Label::Cause(Cause::SelfDesense)
        } else {
            Label::Cause(Cause::OrdinaryTraffic)
        },
    }
}

/// A file with that recording.
pub fn recording(heard: Heard) -> Exhibit {
    Exhibit {
        file: heard.name.clone(),
        sha256: heard.sha256.clone(),
        content: vec![Content::Recording(heard)],
    }
}

/// A saved stepped test: back-off, trials, came back.
pub fn test(name: &str, levels: &[(f64, u32, u32)]) -> Exhibit {
    let trials = levels.iter().flat_map(|&(backoff, trials, back)| {
        (0..trials).map(move |n| Trial {
            backoff: Decibels(backoff),
            drop: None,
            came_back: n < back,
            gap: None,
            confidence: None,
        })
    });
    Exhibit {
        file: name.into(),
        sha256: digest(name),
        content: vec![Content::SavedTest(SteppedTest {
            trials: trials.collect(),
            hysteresis: None,
        })],
    }
}

/// One recording in each set.
pub fn compared((k_before, n_before): (u64, u64), (k_after, n_after): (u64, u64)) -> Comparison {
    compare(
        vec![recording(heard("before.wav", k_before, n_before))],
        vec![recording(heard("after.wav", k_after, n_after))],
        Stated::default(),
    )
    .unwrap()
}
