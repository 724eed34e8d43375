//! The same sound in each container: the whole check beside decoding alone by the same decoder.

use super::{median, outsiders, stages};
use std::path::Path;
use std::time::{Duration, Instant};

/// Length of the recording, seconds.
pub const LENGTH_S: u32 = 600;

/// Name, file name, and how ffmpeg makes it: rates and qualities as recordings come.
const FORMS: [(&str, &str, &[&str]); 6] = [
    (
        "MP3, 22.05 kHz, 32 kbit/s",
        "a.mp3",
        &["-ar", "22050", "-b:a", "32k"],
    ),
    (
        "AAC, 44.1 kHz, 64 kbit/s",
        "a.m4a",
        &["-ar", "44100", "-c:a", "aac", "-b:a", "64k"],
    ),
    (
        "Opus, 48 kHz, 24 kbit/s",
        "a.ogg",
        &["-c:a", "libopus", "-b:a", "24k"],
    ),
    (
        "Vorbis, 44.1 kHz, quality 2",
        "b.ogg",
        &["-ar", "44100", "-c:a", "libvorbis", "-q:a", "2"],
    ),
    ("FLAC, 48 kHz", "a.flac", &["-ar", "48000"]),
    ("WAV, 48 kHz, 16 bits", "a.wav", &["-ar", "48000"]),
];

/// What one container took.
pub struct Timed {
    /// Its name.
    pub name: &'static str,
    /// Decoding alone, by the program's own intake.
    pub decode: Duration,
    /// The whole check.
    pub check: Duration,
    /// The whole check on several threads.
    pub threads: Duration,
    /// ffmpeg's decoding.
    pub ffmpeg: Option<Duration>,
    /// With its silence detection.
    pub silences: Option<Duration>,
}

/// Times every container that can be made here.
pub fn timed(dir: &Path, rounds: usize) -> Vec<Timed> {
    let wav = dir.join("containers.wav");
    stages::write(&wav, LENGTH_S);
    let mut list = Vec::new();
    for (name, file, words) in FORMS {
        let path = dir.join(file);
        if !outsiders::encode(&wav, words, &path) {
            continue;
        }
        let (mut decode, mut check, mut threads) = (Vec::new(), Vec::new(), Vec::new());
        let (mut ffmpeg, mut silences) = (Vec::new(), Vec::new());
        for _ in 0..rounds {
            for (run, times) in [
                (stages::decode_only as fn(&Path), &mut decode),
                (stages::whole_check, &mut check),
                (stages::check_on_threads, &mut threads),
            ] {
                let begun = Instant::now();
                run(&path);
                times.push(begun.elapsed());
            }
            ffmpeg.extend(outsiders::ffmpeg(&path, false));
            silences.extend(outsiders::ffmpeg(&path, true));
        }
        std::fs::remove_file(&path).expect("the file that was made");
        let of_all = |times: Vec<Duration>| (!times.is_empty()).then(|| median(times));
        list.push(Timed {
            name,
            decode: median(decode),
            check: median(check),
            threads: median(threads),
            ffmpeg: of_all(ffmpeg),
            silences: of_all(silences),
        });
    }
    list
}
