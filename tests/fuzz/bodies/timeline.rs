//! Any sound through acoustics, timeline and cause: no panic, times in order and within the
//! recording, chances that are chances.

use std::convert::Infallible;
use tailbeat::acoustics::Analyser;
use tailbeat::acoustics::frames::FrameBlock;
use tailbeat::cause;
use tailbeat::intake::recording::{ChannelChoice, Damage, DamageKind, RecordingInfo};
use tailbeat::timeline::Reader;
use tailbeat::timeline::types::ListeningMode;
use tailbeat::units::{Instant, SampleRate, Seconds};

/// Rates to draw from.
const RATES: [u32; 6] = [8_000, 11_025, 16_000, 22_050, 44_100, 48_000];
/// Longest sound drawn, in samples: twelve seconds at the lowest rate, in which a repeater with a short
/// hang time cycles often enough. What it costs to hear a sound grows with its length.
const MOST_SAMPLES: usize = 96_000;

/// The bytes are a little program of sounds: each four of them a piece, as a repeater's output is
/// put together, so that chance comes by key-ups, tails, tones and bursts soon.
pub fn run(bytes: &[u8]) {
    let [head, how, rest @ ..] = bytes else {
        return;
    };
    let rate = RATES[usize::from(*head) % RATES.len()];
    let samples = play(rest, rate);
    let stated = match how % 6 {
        0 => Some(ListeningMode::Squelched),
        1 => Some(ListeningMode::OpenSquelch),
        2 => Some(ListeningMode::BurstsOnly),
        3 => Some(ListeningMode::NoGaps),
        _ => None,
    };
    let hang = (how & 0x80 != 0).then_some(Seconds(f64::from(how & 0x7F) / 16.0 + 0.01));
    let Some(sample_rate) = SampleRate::new(rate) else {
        return;
    };
    let mut reader = Reader::new(stated);
    let mut analyser = Analyser::new(sample_rate);
    let mut take = |block: &FrameBlock| -> Result<(), Infallible> {
        reader.push(block);
        Ok(())
    };
    let Ok(()) = analyser.push(&samples, &mut take);
    let (last, leftover) = analyser.finish();
    let Ok(()) = take(&last);
    let length = samples.len() as f64 / f64::from(rate);
    let info = RecordingInfo {
        name: "fuzzed".into(),
        sha256: String::new(),
        duration: Seconds(length),
        sample_rate,
        channels: 1,
        container: "wav".into(),
        codec: "pcm_s16le".into(),
        started_at: None,
        channel_choice: ChannelChoice::Mono,
        damage: (how % 7 == 0)
            .then_some(Damage {
                at: Instant(length / 2.0),
                lost: Seconds(0.5),
                kind: DamageKind::BadPacket,
            })
            .into_iter()
            .collect(),
        clips: None,
        delay_removed: Seconds(0.0),
    };
    let timeline = reader.finish(&info, leftover.clipped_share);
    let inside = |t: f64| t.is_finite() && (-0.1..=length + 0.1).contains(&t);
    for on in &timeline.carrier {
        assert!(
            inside(on.start.get()) && inside(on.end.get()) && on.start <= on.end,
            "{on:?}"
        );
    }
    for (one, next) in timeline.carrier.iter().zip(timeline.carrier.iter().skip(1)) {
        assert!(one.end <= next.start, "{one:?} {next:?}");
    }
    assert!(timeline.events.iter().is_sorted_by(|a, b| a.t <= b.t));
    for event in &timeline.events {
        assert!(inside(event.t.get()) && event.sd.get() >= 0.0, "{event:?}");
        assert!((0.0..=1.0).contains(&event.confidence), "{event:?}");
    }
    for drop in &timeline.drops {
        for span in [drop.gap, drop.on, drop.blip, drop.tail]
            .into_iter()
            .flatten()
        {
            assert!((0.0..=length + 0.1).contains(&span.get()), "{drop:?}");
        }
    }
    let verdict = cause::judge(&timeline, hang);
    let sum: f64 = verdict.posterior.iter().sum();
    assert!((sum - 1.0).abs() < 1e-6, "{sum}");
    assert!(verdict.posterior.iter().all(|p| (0.0..=1.0).contains(p)));
}

fn play(program: &[u8], rate: u32) -> Vec<f32> {
    let mut samples: Vec<f32> = Vec::new();
    let mut state = 0x2545_F491_u32;
    for (n, piece) in program.chunks_exact(4).enumerate() {
        // Up to 1.3 s a piece, in steps that also give very short ones.
        let length = (f64::from(piece[1]) / 255.0).powi(2) * 1.3 * f64::from(rate);
        let gain = f32::from(piece[2]) / 160.0;
        let pitch = 50.0 + f32::from(piece[3]) * 14.0;
        for i in 0..length as usize {
            if samples.len() >= MOST_SAMPLES {
                return samples;
            }
            state ^= state << 13;
            state ^= state >> 17;
            state ^= state << 5;
            let noise = state as f32 / 2_147_483_648.0 - 1.0;
            let t = i as f32 / rate as f32;
            let wave = (t * pitch * std::f32::consts::TAU).sin();
            samples.push(match piece[0] % 8 {
                0 => 0.0,
                1 => noise * gain,
                2 => wave * gain,
                3 => noise * gain * 0.01,
                4 => (wave + 0.1 * noise) * gain * (t * 4.0 * std::f32::consts::TAU).sin().abs(),
                5 => 1.0,
                6 => {
                    if i % 97 == 0 {
                        gain
                    } else {
                        0.0
                    }
                }
                _ => f32::from(program[(n * 4 + i) % program.len()]) / 128.0 - 1.0,
            });
        }
    }
    samples
}
