//! What cannot be read: one clear line that names the file and the remedy.

use crate::signal::chirps;
use crate::tools::{ffmpeg, file, folder, hear, write_wav};
use std::path::Path;

/// The line, checked for its form.
fn refusal(path: &Path) -> String {
    let error = match hear(path) {
        Ok(heard) => panic!("{path:?} was accepted: {:?}", heard.info),
        Err(error) => error,
    };
    let line = error.to_string();
    assert_eq!(line.lines().count(), 1, "{line}");
    assert!(line.starts_with(&format!("{}: ", path.display())), "{line}");
    assert!(line.contains("; "), "no remedy: {line}");
    line
}

fn float_wav(path: &Path, samples: impl Iterator<Item = f32>) {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: 8_000,
        bits_per_sample: 32,
        sample_format: hound::SampleFormat::Float,
    };
    let mut writer = hound::WavWriter::create(path, spec).expect("a WAV file");
    samples.for_each(|sample| writer.write_sample(sample).expect("a sample"));
    writer.finalize().expect("a header");
}

#[test]
fn files_that_hold_no_recording_are_refused() {
    let folder = folder();
    let noise: Vec<u8> = (0..200_000_u32)
        .map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8)
        .collect();
    for (name, bytes, word) in [
        ("empty.wav", &b""[..], "the file is empty"),
        ("one.mp3", b"\xff", "not a sound recording"),
        (
            "text.mp3",
            b"Dear trustee, I am noisy into the machine.\n",
            "not a sound recording",
        ),
        ("noise.ogg", &noise, "not a sound recording"),
        ("box.zip", b"PK\x03\x04whatever", "ZIP"),
        ("head.wav", b"RIFF\x24\0\0\0WAVE", "ends before"),
        ("head.ogg", b"OggS\0\x02", "damaged"),
        ("head.flac", b"fLaC\0\0", "damaged"),
        ("head.m4a", b"\0\0\0\x18ftypM4A \0\0\0\0", "moov"),
        ("voice.amr", b"#!AMR\n\x3c\x91\x17\x16", "AMR"),
    ] {
        let path = file(&folder, name);
        std::fs::write(&path, bytes).expect("write");
        let line = refusal(&path);
        assert!(line.contains(word), "{name}: {line}");
    }
    let line = refusal(folder.path());
    assert!(
        line.contains("folder") && line.contains("--clips"),
        "{line}"
    );
    let missing = hear(&file(&folder, "missing.wav")).err().expect("no file");
    assert_eq!(missing.code(), "io");
}

#[test]
fn recordings_with_nothing_in_them_are_refused() {
    let folder = folder();
    let path = file(&folder, "tape.wav");
    let cases: [(&str, &str); 4] = [
        ("zeros", "silence"),
        ("a-law zeros", "silence"),
        ("short", "0.30 s"),
        ("NaN", "number"),
    ];
    for (name, word) in cases {
        match name {
            "short" => write_wav(&path, 8_000, 1, &chirps(8_000)[2_000..4_400]),
            "NaN" => float_wav(&path, std::iter::repeat_n(f32::NAN, 20_000)),
            _ => write_wav(&path, 8_000, 1, &[0.0; 20_000]),
        }
        let mut judged = path.clone();
        if name == "a-law zeros" {
            judged = file(&folder, "alaw.wav");
            ffmpeg(&path, &["-c:a", "pcm_alaw"], &judged);
        }
        let line = refusal(&judged);
        assert!(line.contains(word), "{name}: {line}");
    }
}

#[test]
fn single_numbers_that_are_none_are_noted_and_silenced() {
    let folder = folder();
    let path = file(&folder, "tape.wav");
    let chirps = chirps(8_000);
    let broken = chirps.iter().enumerate().map(|(i, sample)| match i {
        16_000..16_080 => f32::NAN,
        24_000 => f32::INFINITY,
        _ => *sample,
    });
    float_wav(&path, broken);
    let heard = hear(&path).expect("mostly sound");
    let places: Vec<f64> = heard
        .info
        .damage
        .iter()
        .map(|damage| damage.at.get())
        .collect();
    assert_eq!(places, [2.0, 3.0], "{:?}", heard.info.damage);
    assert!((heard.info.damage[0].lost.get() - 0.01).abs() < 1e-9);
    assert!(
        heard.samples[16_000..16_080]
            .iter()
            .all(|sample| *sample == 0.0)
    );
}

#[test]
fn kinds_without_a_decoder_are_named() {
    let folder = folder();
    let plain = file(&folder, "original.wav");
    write_wav(&plain, 8_000, 1, &chirps(8_000));
    let cases: [(&str, &[&str], &str); 9] = [
        ("gsm.wav", &["-c:a", "libgsm_ms"], "GSM 6.10"),
        (
            "g722.wav",
            &["-c:a", "g722", "-ar", "16000"],
            "WAV of the kind",
        ),
        ("g726.wav", &["-c:a", "g726"], "G.726"),
        ("mp3.wav", &["-c:a", "libmp3lame"], "MP3 in WAV"),
        ("a.au", &[], "AU"),
        ("a.wma", &[], "Windows Media"),
        ("a.w64", &[], "Wave64"),
        ("a.spx", &["-c:a", "libspeex"], "Speex"),
        ("a.avi", &[], "AVI"),
    ];
    for (name, words, word) in cases {
        let path = file(&folder, name);
        ffmpeg(&plain, words, &path);
        let line = refusal(&path);
        assert!(
            line.contains(word) && line.contains("ffmpeg -i"),
            "{name}: {line}"
        );
    }
}

#[test]
fn impossible_headers_are_named() {
    let folder = folder();
    let path = file(&folder, "tape.wav");
    let cases: [(u64, &[u8], &str); 5] = [
        (24, &[0; 4], "0 Hz"),
        (24, &[0xff; 4], "4294967295 Hz"),
        (24, &[0x70, 0x17, 0, 0], "6000 Hz"),
        (22, &[0xff, 0xff], "65535 channels"),
        (32, &[0, 0, 0, 0], "makes no sense"),
    ];
    for (at, bytes, word) in cases {
        write_wav(&path, 8_000, 1, &chirps(8_000));
        let mut all = std::fs::read(&path).expect("read");
        all[at as usize..at as usize + bytes.len()].copy_from_slice(bytes);
        std::fs::write(&path, all).expect("write");
        let line = refusal(&path);
        assert!(line.contains(word), "{line}");
    }
}
