//! Damaged files: cut anywhere, bytes flipped anywhere. Nothing panics or hangs, what is left is
//! still on time, and what is lost is noted.

use crate::signal::{CHIRPS_S, LENGTH_S, chirps, lateness_of};
use crate::tools::{Heard, ffmpeg, file, folder, hear, write_wav};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::path::Path;
use std::time::{Duration, Instant};
use tailbeat::intake::recording::DamageKind;

/// A container with its codec.
pub struct Kind {
    ending: &'static str,
    rate: u32,
    words: &'static [&'static str],
}

/// All that are tried.
pub const KINDS: &[Kind] = &[
    Kind {
        ending: "wav",
        rate: 8_000,
        words: &[],
    },
    Kind {
        ending: "wav",
        rate: 8_000,
        words: &["-c:a", "adpcm_ms"],
    },
    Kind {
        ending: "wav",
        rate: 8_000,
        words: &["-c:a", "adpcm_ima_wav"],
    },
    Kind {
        ending: "wav",
        rate: 16_000,
        words: &["-c:a", "pcm_f32le", "-rf64", "always"],
    },
    Kind {
        ending: "aiff",
        rate: 8_000,
        words: &[],
    },
    Kind {
        ending: "caf",
        rate: 16_000,
        words: &["-c:a", "alac"],
    },
    Kind {
        ending: "flac",
        rate: 16_000,
        words: &[],
    },
    Kind {
        ending: "mp3",
        rate: 16_000,
        words: &["-b:a", "32k"],
    },
    Kind {
        ending: "mp3",
        rate: 44_100,
        words: &["-q:a", "6"],
    },
    Kind {
        ending: "ogg",
        rate: 16_000,
        words: &["-c:a", "libvorbis"],
    },
    Kind {
        ending: "opus",
        rate: 48_000,
        words: &["-b:a", "24k", "-page_duration", "200000"],
    },
    Kind {
        ending: "webm",
        rate: 48_000,
        words: &["-c:a", "libopus", "-cluster_time_limit", "500"],
    },
    Kind {
        ending: "mkv",
        rate: 16_000,
        words: &["-c:a", "aac", "-cluster_time_limit", "500"],
    },
    Kind {
        ending: "mkv",
        rate: 16_000,
        words: &["-c:a", "flac"],
    },
    Kind {
        ending: "m4a",
        rate: 16_000,
        words: &["-c:a", "aac", "-movflags", "+faststart"],
    },
    Kind {
        ending: "m4a",
        rate: 16_000,
        words: &["-c:a", "alac"],
    },
    Kind {
        ending: "mp4",
        rate: 48_000,
        words: &["-c:a", "libopus", "-movflags", "+faststart"],
    },
    Kind {
        ending: "aac",
        rate: 16_000,
        words: &["-c:a", "aac"],
    },
];

/// Longest that any damaged file may take, at the test build's speed on a busy machine.
const PATIENCE: Duration = Duration::from_secs(20);

/// Noise as of a quiet carrier under the chirps, so that frames hold about equally much.
fn noisy_chirps(rate: u32) -> Vec<f32> {
    let mut random = ChaCha8Rng::seed_from_u64(99);
    let mut samples = chirps(rate);
    samples
        .iter_mut()
        .for_each(|sample| *sample += random.random_range(-0.03..0.03));
    samples
}

impl Kind {
    /// For messages.
    pub fn name(&self) -> String {
        format!("{} {}", self.ending, self.words.join(" "))
    }

    /// The first seconds only, for tests that need many variants.
    pub fn encode_short(&self, folder: &tempfile::TempDir, seconds: f64) -> Vec<u8> {
        let most = (seconds * f64::from(self.rate)) as usize;
        encode_samples(folder, self, &noisy_chirps(self.rate)[..most])
    }
}

fn encode(folder: &tempfile::TempDir, kind: &Kind) -> Vec<u8> {
    encode_samples(folder, kind, &noisy_chirps(kind.rate))
}

fn encode_samples(folder: &tempfile::TempDir, kind: &Kind, samples: &[f32]) -> Vec<u8> {
    let plain = file(folder, "original.wav");
    write_wav(&plain, kind.rate, 1, samples);
    let path = file(folder, &format!("sound.{}", kind.ending));
    ffmpeg(&plain, kind.words, &path);
    std::fs::read(&path).expect("the encoded file")
}

/// Reads bytes as a file; a refusal must be a clear line, everything else a bounded recording.
fn read(path: &Path, bytes: &[u8], what: &str) -> Option<Heard> {
    std::fs::write(path, bytes).expect("write");
    let begun = Instant::now();
    let heard = hear(path);
    let took = begun.elapsed();
    assert!(took < PATIENCE, "{what}: took {took:?}");
    match heard {
        Ok(heard) => {
            let length = heard.info.duration.get();
            assert!(
                length < 3.0 * LENGTH_S,
                "{what}: {length} s came out of {LENGTH_S} s"
            );
            Some(heard)
        }
        Err(error) => {
            let line = error.to_string();
            assert_eq!(line.lines().count(), 1, "{what}: {line}");
            assert!(line.contains("sound."), "{what}: {line}");
            None
        }
    }
}

/// The chirps that are still there, by how late they come; those that are not are left out.
fn found(heard: &Heard) -> Vec<f64> {
    let late = |start: &f64| lateness_of(&heard.samples, heard.rate, *start);
    CHIRPS_S
        .iter()
        .map(late)
        .filter(|late| late.is_finite())
        .collect()
}

#[test]
fn cut_files_are_read_as_far_as_they_go() {
    let folder = folder();
    let mut report = String::new();
    for kind in KINDS {
        let whole = encode(&folder, kind);
        let path = file(&folder, &format!("sound.{}", kind.ending));
        let mut heard_of = Vec::new();
        for percent in [1, 10, 30, 50, 75, 97] {
            let what = format!("{} {:?} cut at {percent} %", kind.ending, kind.words);
            let cut = &whole[..whole.len() * percent / 100];
            let Some(heard) = read(&path, cut, &what) else {
                continue;
            };
            let late = found(&heard);
            let worst = late
                .iter()
                .fold(0.0_f64, |worst, late| worst.max(late.abs()));
            assert!(worst < 2e-3, "{what}: {late:?}");
            let told = heard.info.damage.iter().any(|damage| {
                matches!(damage.kind, DamageKind::Truncated | DamageKind::ShortLength)
            });
            heard_of.push((percent, heard.info.duration.get(), late.len(), told));
        }
        report += &format!("{:5} {:?}: {heard_of:?}\n", kind.ending, kind.words);
        // An index at the end is gone with the end; all others must give their sound.
        let index_last = kind.words == ["-c:a", "alac"];
        let most = heard_of.iter().find(|(percent, ..)| *percent == 75);
        assert_eq!(most.is_none(), index_last, "{}: {report}", kind.ending);
        if let Some((_, length, chirps, told)) = most {
            assert!(*length > 0.5 * LENGTH_S && *chirps >= 3, "{report}");
            // Frames of varying size without a count do not tell that any are missing.
            assert!(*told || kind.ending == "aac", "{report}");
        }
    }
    println!("{report}");
}

#[test]
fn flipped_bytes_neither_stop_the_reading_nor_move_what_follows() {
    const SEEDS: u64 = 24;
    let folder = folder();
    let mut report = String::new();
    for kind in KINDS {
        let whole = encode(&folder, kind);
        let path = file(&folder, &format!("sound.{}", kind.ending));
        let (mut read_at_all, mut chirps_found, mut on_time, mut noted) = (0, 0, 0, 0);
        for seed in 0..SEEDS {
            let mut random = ChaCha8Rng::seed_from_u64(seed);
            let mut bytes = whole.clone();
            // Behind the header, so that most files open: what a bad sector does to a long file.
            let begin = bytes.len() / 5;
            for _ in 0..1 + seed % 4 {
                let at = random.random_range(begin..bytes.len());
                let end = bytes.len().min(at + random.random_range(1..200));
                bytes[at..end]
                    .iter_mut()
                    .for_each(|byte| *byte = random.random());
            }
            let what = format!("{} {:?} seed {seed}", kind.ending, kind.words);
            let Some(heard) = read(&path, &bytes, &what) else {
                continue;
            };
            read_at_all += 1;
            noted += u64::from(!heard.info.damage.is_empty());
            let late = found(&heard);
            chirps_found += late.len();
            on_time += late.iter().filter(|late| late.abs() < 5e-3).count();
        }
        report += &format!(
            "{:5} {:?}: read {read_at_all}/{SEEDS}, noted {noted}, chirps {chirps_found}/{}, on \
             time {on_time}\n",
            kind.ending,
            kind.words,
            SEEDS as usize * CHIRPS_S.len(),
        );
        assert!(read_at_all >= SEEDS * 3 / 4, "{report}");
        assert!(on_time * 100 >= chirps_found * 97, "{report}");
    }
    println!("{report}");
}

#[test]
fn flipped_bytes_in_the_header_are_answered() {
    let folder = folder();
    for kind in KINDS {
        let whole = encode(&folder, kind);
        let path = file(&folder, &format!("sound.{}", kind.ending));
        for seed in 0..40 {
            let mut random = ChaCha8Rng::seed_from_u64(seed);
            let mut bytes = whole.clone();
            let header = bytes.len().min(if seed % 2 == 0 { 64 } else { 600 });
            for _ in 0..1 + seed % 3 {
                let at = random.random_range(0..header);
                bytes[at] = random.random();
            }
            read(
                &path,
                &bytes,
                &format!("{} {:?} seed {seed}", kind.ending, kind.words),
            );
        }
    }
}

#[test]
fn a_hole_in_a_frame_stream_is_as_long_as_what_was_there() {
    let folder = folder();
    for (ending, words) in [
        ("mp3", &["-b:a", "32k"][..]),
        ("mp3", &["-b:a", "32k", "-write_xing", "0"]),
        ("aac", &[]),
    ] {
        let kind = Kind {
            ending,
            rate: 16_000,
            words,
        };
        let mut bytes = encode(&folder, &kind);
        let (from, to) = (bytes.len() * 40 / 100, bytes.len() * 55 / 100);
        bytes[from..to].fill(0);
        let path = file(&folder, &format!("sound.{ending}"));
        let heard = read(&path, &bytes, ending).expect("most of it");
        let last = lateness_of(&heard.samples, heard.rate, CHIRPS_S[6]);
        // Frames of varying size: as long as the mean frame says.
        let within_s = if ending == "aac" { 0.15 } else { 1e-3 };
        assert!(last.abs() < within_s, "{ending} {words:?}: {last} s late");
        let lost: f64 = heard
            .info
            .damage
            .iter()
            .map(|damage| damage.lost.get())
            .sum();
        assert!(
            (0.7..1.3).contains(&lost),
            "{ending} {words:?}: {:?}",
            heard.info.damage
        );
    }
}

#[test]
fn a_stream_that_was_joined_in_the_middle_of_a_frame_is_read() {
    let folder = folder();
    for (ending, words) in [
        ("mp3", &["-b:a", "32k", "-write_xing", "0"][..]),
        ("aac", &[]),
    ] {
        let kind = Kind {
            ending,
            rate: 16_000,
            words,
        };
        let bytes = encode(&folder, &kind);
        let path = file(&folder, &format!("sound.{ending}"));
        let heard = read(&path, &bytes[bytes.len() / 10 + 7..], ending).expect("the rest");
        assert!(
            heard.info.duration.get() > 0.8 * LENGTH_S,
            "{:?}",
            heard.info
        );
    }
}
