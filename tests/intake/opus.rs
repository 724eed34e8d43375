//! Opus against libopus, sample by sample (ffmpeg's own Opus decoder differs in speech modes, so
//! its libopus wrapper is asked for).

use crate::signal::chirps;
use crate::tools::{file, folder, hear, run, text, write_wav};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use tailbeat::intake::recording::ChannelChoice;

/// Four steps of 16 bits, -78 dBFS. In most modes the difference is the half step by which the
/// reference rounds; across its transitions between modes it was seen to reach two.
const WITHIN: f32 = 4.0 / 32_768.0;

/// Chirps over noise that comes and goes, so that the encoder changes between its modes.
fn material() -> Vec<f32> {
    let mut random = ChaCha8Rng::seed_from_u64(7);
    let mut samples = chirps(48_000);
    for (index, sample) in samples.iter_mut().enumerate() {
        let t = index as f32 / 48_000.0;
        let noise: f32 = random.random_range(-1.0..1.0);
        *sample = 0.8 * *sample
            + if t % 2.0 < 0.9 {
                0.15 * noise
            } else {
                0.002 * noise
            };
    }
    samples
}

#[test]
fn opus_decodes_like_libopus_in_every_container_and_mode() {
    let folder = folder();
    let plain = file(&folder, "original.wav");
    write_wav(&plain, 48_000, 1, &material());
    let modes: [&[&str]; 7] = [
        &["-b:a", "8k", "-application", "voip"],
        &["-b:a", "16k", "-application", "voip"],
        &[
            "-b:a",
            "24k",
            "-application",
            "voip",
            "-frame_duration",
            "60",
        ],
        &["-b:a", "32k", "-application", "audio"],
        &[
            "-b:a",
            "64k",
            "-application",
            "audio",
            "-frame_duration",
            "40",
        ],
        &[
            "-b:a",
            "64k",
            "-application",
            "lowdelay",
            "-frame_duration",
            "2.5",
        ],
        &["-b:a", "24k", "-vbr", "off", "-frame_duration", "10"],
    ];
    let mut report = String::new();
    for (number, mode) in modes.iter().enumerate() {
        for ending in ["opus", "webm", "mp4"] {
            let coded = file(&folder, &format!("{number}.{ending}"));
            let mut words = vec!["-nostdin", "-v", "error", "-y", "-i", text(&plain)];
            words.extend(["-c:a", "libopus"]);
            words.extend(*mode);
            words.push(text(&coded));
            run("ffmpeg", &words);
            let reference = file(&folder, "reference.wav");
            run(
                "ffmpeg",
                &[
                    "-nostdin",
                    "-v",
                    "error",
                    "-y",
                    "-c:a",
                    "libopus",
                    "-i",
                    text(&coded),
                    "-ac",
                    "1",
                    "-c:a",
                    "pcm_f32le",
                    text(&reference),
                ],
            );
            let want = hear(&reference).expect("reference").samples;
            let heard = hear(&coded).expect("opus");
            assert!(
                !matches!(heard.info.channel_choice, ChannelChoice::Only(_)),
                "{:?} is not what the reference takes",
                heard.info.channel_choice
            );
            let got = heard.samples;
            let shared = want.len().min(got.len());
            let longer = want.len().abs_diff(got.len());
            let worst = want
                .iter()
                .zip(&got)
                .map(|(a, b)| (a - b).abs())
                .fold(0.0, f32::max);
            report += &format!(
                "{ending:5} {mode:?}: worst {:.2} steps over {shared} samples, lengths differ by \
                 {longer}\n",
                worst * 32_768.0
            );
            assert!(
                worst <= WITHIN && shared > 300_000 && longer <= 2_880,
                "{report}"
            );
        }
    }
    println!("{report}");
}
