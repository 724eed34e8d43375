//! Headers: long files, unfinished ones, streams, digests, start times, channels.

use crate::signal::{chirps, lateness_s};
use crate::tools::{collect, ffmpeg, file, folder, hear, run, text, write_wav};
use std::io::{Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use tailbeat::intake;
use tailbeat::intake::recording::{ChannelChoice, DamageKind};

fn original(folder: &tempfile::TempDir, rate: u32) -> PathBuf {
    let path = file(folder, "original.wav");
    write_wav(&path, rate, 1, &chirps(rate));
    path
}

fn stereo(folder: &tempfile::TempDir, left: &[f32], right: &[f32]) -> PathBuf {
    let path = file(folder, "stereo.wav");
    let both: Vec<f32> = left.iter().zip(right).flat_map(|(l, r)| [*l, *r]).collect();
    write_wav(&path, 16_000, 2, &both);
    path
}

fn patch(path: &Path, at: u64, bytes: &[u8]) {
    let mut file = std::fs::File::options()
        .write(true)
        .open(path)
        .expect("open");
    file.seek(SeekFrom::Start(at)).expect("seek");
    file.write_all(bytes).expect("write");
}

#[test]
fn rf64_and_bw64_are_read_sample_by_sample() {
    let folder = folder();
    let plain = original(&folder, 8_000);
    let long = file(&folder, "long.wav");
    ffmpeg(&plain, &["-rf64", "always", "-c:a", "pcm_s16le"], &long);
    let want = hear(&plain).expect("plain").samples;
    let got = hear(&long).expect("RF64");
    assert_eq!(
        (got.info.container.as_str(), got.samples == want),
        ("rf64", true)
    );
    patch(&long, 0, b"BW64");
    assert!(hear(&long).expect("BW64").samples == want);
}

#[test]
fn files_over_four_gigabytes_are_read_by_their_long_or_wrapped_size() {
    let folder = folder();
    let plain = original(&folder, 8_000);
    let bytes: u64 = 5 << 30;
    let hours = bytes as f64 / 2.0 / 8_000.0;
    // The long form: the header that ffmpeg writes, with the real size patched in.
    let long = file(&folder, "long.wav");
    ffmpeg(
        &plain,
        &[
            "-rf64",
            "always",
            "-fflags",
            "+bitexact",
            "-c:a",
            "pcm_s16le",
        ],
        &long,
    );
    patch(&long, 28, &bytes.to_le_bytes());
    patch(&long, 36, &(bytes / 2).to_le_bytes());
    // The wrapped form: a plain header that holds only the size's low half.
    let wrapped = file(&folder, "wrapped.wav");
    std::fs::copy(&plain, &wrapped).expect("copy");
    patch(&wrapped, 40, &((bytes & 0xffff_ffff) as u32).to_le_bytes());
    for path in [long, wrapped] {
        let header = std::fs::metadata(&path).expect("size").len() - 2 * 52_000;
        std::fs::File::options()
            .write(true)
            .open(&path)
            .and_then(|file| file.set_len(header + bytes))
            .expect("a sparse file");
        let mut recording = intake::open(&path).expect("open");
        let expected = recording.expected_duration().expect("a length").get();
        assert!(
            (expected - hours).abs() < 0.01,
            "{path:?}: {expected} s, not {hours} s"
        );
        let mut samples = Vec::new();
        while samples.len() < 60_000 {
            let block = recording.next_block().expect("block").expect("more");
            samples.extend_from_slice(block.samples);
        }
        let late = lateness_s(&samples, 8_000);
        assert!(late.iter().all(|late| late.abs() < 1e-4), "{late:?}");
    }
}

#[test]
fn a_header_that_was_never_finished_is_read_to_the_file_s_end() {
    let folder = folder();
    let plain = original(&folder, 8_000);
    let want = hear(&plain).expect("plain").samples;
    patch(&plain, 4, &[0; 4]);
    patch(&plain, 40, &[0; 4]);
    let got = hear(&plain).expect("unfinished");
    assert!(got.samples == want);
    assert_eq!(got.info.damage.len(), 1, "{:?}", got.info.damage);
    assert_eq!(got.info.damage[0].kind, DamageKind::Truncated);

    // Programs that write to a pipe cannot know the size; nothing is wrong with that.
    patch(&plain, 4, &[0xff; 4]);
    patch(&plain, 40, &[0xff; 4]);
    let got = hear(&plain).expect("streamed");
    assert!(
        got.samples == want && got.info.damage.is_empty(),
        "{:?}",
        got.info.damage
    );
}

#[test]
fn standard_input_gives_the_same_as_the_file() {
    let folder = folder();
    let long = file(&folder, "long.wav");
    let many: Vec<f32> = chirps(48_000).repeat(9);
    write_wav(&long, 48_000, 1, &many);
    let index_last = file(&folder, "index-last.m4a");
    ffmpeg(&long, &["-c:a", "aac", "-b:a", "32k"], &index_last);
    for path in [long, index_last] {
        let by_path = hear(&path).expect("by path");
        let stream = std::fs::File::open(&path).expect("open");
        let by_stream = intake::open_stream("-", Box::new(stream)).and_then(collect);
        let by_stream = by_stream.expect("by stream");
        assert!(by_path.samples == by_stream.samples);
        assert_eq!(by_path.info.sha256, by_stream.info.sha256);
        assert_eq!(by_stream.info.name, "-");
        let tool = std::process::Command::new("sha256sum")
            .arg(&path)
            .output()
            .expect("sha256sum");
        let tool = String::from_utf8(tool.stdout).expect("text");
        assert!(tool.starts_with(&by_path.info.sha256), "{tool}");
    }
}

#[test]
fn the_start_is_read_from_metadata_and_name() {
    let folder = folder();
    let plain = original(&folder, 48_000);
    let date: &[&str] = &["-metadata", "date=2026-04-12T18:30:55"];
    let created: &[&str] = &["-metadata", "creation_time=2026-04-12T18:30:55Z"];
    let broadcast: &[&str] = &[
        "-write_bext",
        "1",
        "-metadata",
        "origination_date=2026-04-12",
        "-metadata",
        "origination_time=18:30:55",
    ];
    let local = Some("2026-04-12T18:30:55");
    let universal = Some("2026-04-12T18:30:55Z");
    for (name, words, want) in [
        ("a.wav", broadcast, local),
        ("a.wav", &["-metadata", "date=2026-04-12 18:30:55"], local),
        ("a.mp3", date, local),
        ("a.flac", date, local),
        ("a.ogg", date, local),
        ("a.opus", date, local),
        ("a.mka", date, local),
        ("a.mka", created, universal),
        ("a.webm", created, universal),
        ("a.m4a", created, universal),
        ("a.flac", &["-metadata", "date=2026"], None),
        ("a.m4a", &[], None),
        (
            "20260412_183055.flac",
            &["-metadata", "date=2025-01-01T00:00:00"],
            local,
        ),
        ("20250101_000000.wav", broadcast, local),
    ] {
        let path = file(&folder, name);
        ffmpeg(&plain, words, &path);
        let heard = hear(&path).expect(name);
        assert_eq!(heard.info.started_at.as_deref(), want, "{name} {words:?}");
        std::fs::remove_file(path).expect("remove");
    }
}

#[test]
fn the_radio_s_side_of_a_stereo_file_is_taken() {
    let folder = folder();
    let radio = chirps(16_000);
    let silent = vec![0.0; radio.len()];
    let hum: Vec<f32> = (0..radio.len())
        .map(|i| 0.8 * (i as f32 * 0.0196).sin())
        .collect();
    let upside_down: Vec<f32> = radio.iter().map(|sample| -sample).collect();
    for (left, right, want) in [
        (&radio, &silent, ChannelChoice::Only(0)),
        (&silent, &radio, ChannelChoice::Only(1)),
        (&hum, &radio, ChannelChoice::Only(1)),
        (&radio, &radio, ChannelChoice::Mean),
        (&radio, &upside_down, ChannelChoice::Only(0)),
    ] {
        let wav = stereo(&folder, left, right);
        for ending in ["flac", "mp3", "ogg", "m4a"] {
            let path = file(&folder, &format!("stereo.{ending}"));
            ffmpeg(&wav, &[], &path);
            let heard = hear(&path).expect(ending);
            assert_eq!(
                (heard.info.channel_choice, heard.info.channels),
                (want, 2),
                "{ending}"
            );
            let late = lateness_s(&heard.samples, heard.rate);
            assert!(
                late.iter().all(|late| late.abs() < 1e-3),
                "{ending} {want:?}: {late:?}"
            );
        }
    }
}

#[test]
fn more_than_two_channels_and_every_rate_are_read() {
    let folder = folder();
    let plain = original(&folder, 48_000);
    let many = file(&folder, "many.wav");
    run(
        "sox",
        &[
            "-M",
            "-v",
            "0",
            text(&plain),
            "-v",
            "0",
            text(&plain),
            "-v",
            "0",
            text(&plain),
            text(&plain),
            "-v",
            "0",
            text(&plain),
            "-v",
            "0",
            text(&plain),
            text(&many),
        ],
    );
    for ending in ["wav", "flac", "opus"] {
        let path = file(&folder, &format!("six.{ending}"));
        ffmpeg(&many, &[], &path);
        let heard = hear(&path).expect(ending);
        assert_eq!(heard.info.channels, 6, "{ending}");
        let late = lateness_s(&heard.samples, heard.rate);
        assert!(
            late.iter().all(|late| late.abs() < 1e-3),
            "{ending}: {late:?}"
        );
    }
    for rate in [
        8_000, 11_025, 12_000, 24_000, 32_000, 88_200, 96_000, 192_000,
    ] {
        let path = file(&folder, "rate.wav");
        write_wav(&path, rate, 1, &chirps(rate));
        let heard = hear(&path).expect("rate");
        assert_eq!(heard.rate, rate);
        let late = lateness_s(&heard.samples, rate);
        assert!(
            late.iter().all(|late| late.abs() < 1e-4),
            "{rate}: {late:?}"
        );
    }
}
