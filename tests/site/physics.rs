//! Measurements against the simulator's physics and against its scenes.

use crate::near;
use crate::sound::Sound;
use std::f64::consts::TAU;
use tailbeat::backoff::report::{BackoffOptions, report};
use tailbeat::backoff::{from_recording, steps};
use tailbeat::check::{CheckOptions, check_recording};
use tailbeat::simulate::dsp::gauss::Gauss;
use tailbeat::simulate::dsp::{BLOCK, RATE_HZ, db_to_amplitude};
use tailbeat::simulate::fm::Modulator;
use tailbeat::simulate::receiver::Receiver;
use tailbeat::simulate::scenario::Channel;
use tailbeat::simulate::{Scenario, render};
use tailbeat::site::sinad::{
    Band, SinadQuestion, Span, Weighting, measure_quieting, measure_sinad,
};
use tailbeat::units::Instant;

/// Discriminator output in units of 20 kHz: a carrier of this carrier-to-noise ratio (`None` is
/// none at all) in the 16 kHz filter, with a 1 kHz tone of this deviation.
fn discriminator(cnr_db: Option<f64>, deviation_hz: f64, seconds: f64, seed: u64) -> Vec<f32> {
    let mut receiver = Receiver::new(Channel::Wide);
    let mut noise = Gauss::new(seed, "sinad");
    let mut modulator = Modulator::default();
    let amplitude = cnr_db.map_or(0.0, db_to_amplitude) as f32;
    let mut out = Vec::new();
    // The filter is left to fill for a tenth of a second.
    let settle = 40;
    for step in 0..settle + (seconds * RATE_HZ) as usize / BLOCK {
        let tone = std::array::from_fn(|i| {
            let t = (step * BLOCK + i) as f64 / RATE_HZ;
            (deviation_hz * (TAU * 1000.0 * t).sin()) as f32
        });
        let mut block = modulator.modulate(&tone);
        block
            .re
            .iter_mut()
            .chain(&mut block.im)
            .for_each(|x| *x *= amplitude);
        noise.add_complex(&mut block, receiver.noise_rms());
        let heard = receiver.receive(block).map(|hz| hz / 20_000.0);
        if step >= settle {
            out.extend(heard);
        }
    }
    out
}

/// SINAD the plain way: one transform over everything, the tone's own line against all others.
fn by_one_transform(samples: &[f32]) -> f64 {
    let mut input: Vec<f64> = samples.iter().map(|x| f64::from(*x)).collect();
    let line_hz = RATE_HZ / input.len() as f64;
    let transform = realfft::RealFftPlanner::new().plan_fft_forward(input.len());
    let mut lines = transform.make_output_vec();
    transform.process(&mut input, &mut lines).unwrap();
    let (mut tone, mut rest) = (0.0, 0.0);
    for (k, line) in lines.iter().enumerate() {
        let hz = k as f64 * line_hz;
        if (hz - 1000.0).abs() < 0.5 * line_hz {
            tone += line.norm_sqr();
        } else if (300.0..=3000.0).contains(&hz) {
            rest += line.norm_sqr();
        }
    }
    10.0 * ((tone + rest) / rest).log10()
}

#[test]
fn sinad_of_fm_at_known_carrier_to_noise_ratios() {
    // Derived here beforehand with another program: complex baseband, rectangular 16 kHz filter,
    // 1 kHz tone at 3 kHz deviation, flat 300-3000 Hz (numpy 2.4.6, scipy 1.17.1). The
    // simulator's filter has soft edges, which shows most below threshold.
    for (cnr, expected, slack) in [
        (4.0, 6.36, 0.6),
        (6.0, 11.16, 0.6),
        (8.0, 16.03, 0.4),
        (10.0, 18.87, 0.3),
        (15.0, 24.00, 0.3),
        (20.0, 29.02, 0.3),
    ] {
        let samples = discriminator(Some(cnr), 3000.0, 40.0, 1);
        let plain = by_one_transform(&samples);
        let mut sound = Sound::new(48_000, samples);
        let result = measure_sinad(&mut sound, &SinadQuestion::default()).unwrap();
        println!(
            "{cnr}: {} {plain} {:?}",
            result.sinad.get(),
            result.plus_minus
        );
        // Blocks are tapered, so that the two weigh single clicks differently.
        near(
            result.sinad.get(),
            plain,
            0.05 + result.plus_minus.unwrap().get(),
        );
        near(result.sinad.get(), expected, slack);
    }
}

#[test]
fn quieting_of_fm() {
    // As above: 20 dB at 7.82 dB (rectangular filter, flat audio); Blachman 1964 for the shape.
    let mut samples = discriminator(None, 0.0, 20.0, 2);
    samples.extend(discriminator(Some(7.82), 0.0, 20.0, 3));
    let span = |from, to| Span {
        from: Instant(from),
        to: Instant(to),
    };
    let result = measure_quieting(
        &mut Sound::new(48_000, samples),
        Band::VOICE,
        Weighting::Flat,
        span(0.0, 20.0),
        span(20.0, 40.0),
    )
    .unwrap();
    near(result.quieting.get(), 20.0, 0.5);
}

/// Steps as the operator wrote them down; the scene follows them to the letter.
const STEPS: &str = "start_s,backoff_db\n3,1\n15,3\n27,5\n39,7\n51,9\n58,-8\n61,9\n68,-8\n71,11\n";

#[test]
fn a_stepped_test_from_sound_finds_the_desense_less_the_hysteresis() {
    // The loop's own law: it comes back at back-off B when B + H is at most D. Here D 10, H 2 dB.
    let scene = r#"
name = "stepped"
cause = "self_desense"
duration_s = 80
[repeater]
hang_s = 1.2
desense.db = 10
squelch.hysteresis_db = 2
[[user]]
hold = [[0.5, 79.0]]
backoff = [[0, -8], [3, 1], [15, 3], [27, 5], [39, 7], [51, 9], [58, -8], [61, 9], [68, -8], [71, 11]]
"#;
    let rendering = render(&Scenario::from_toml(scene, "stepped").unwrap(), 5).unwrap();
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("stepped.wav");
    let spec = hound::WavSpec {
        channels: rendering.channels,
        sample_rate: rendering.rate.hz(),
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(&path, spec).unwrap();
    for sample in &rendering.samples {
        writer.write_sample((sample * 32_767.0) as i16).unwrap();
    }
    writer.finalize().unwrap();
    let recording = tailbeat::intake::open(&path).unwrap();
    let check = check_recording(recording, &CheckOptions::default(), &mut |_| {}).unwrap();
    let steps = steps::read("steps.csv", STEPS).unwrap();
    let timeline = &check.timeline;
    let found = from_recording::trials(
        &timeline.drops.to_vec(),
        &timeline.events.to_vec(),
        &[],
        &steps,
    );
    let result = report(found, &BackoffOptions::default()).unwrap();
    println!("{:#?}\n{:#?}", result.levels, result.trials.excluded);
    let bracket = &result.bracket;
    assert_eq!(bracket.at_least.map(|d| d.get()), Some(7.0));
    assert_eq!(bracket.less_than.map(|d| d.get()), Some(9.0));
    let estimate = result.estimate.unwrap();
    assert!(estimate.low.unwrap().get() <= 8.0 && 8.0 <= estimate.high.unwrap().get());
    let at = |b: f64| result.levels.iter().find(|l| l.backoff.get() == b).unwrap();
    assert!(at(3.0).trials >= 4 && at(3.0).came_back == at(3.0).trials);
    assert_eq!(at(9.0).came_back, 0);
}
