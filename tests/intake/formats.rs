//! Every container and codec: the same events at the same times.
//!
//! Measured with ffmpeg 5.1 and the chirps of `signal` (lateness of the worst of seven chirps after
//! the delay was removed, and the delay that was removed):
//!
//! | container, codec | rate Hz | worst ms | removed ms |
//! |---|---|---|---|
//! | WAV 8/16/24/32 bit, float 32/64, A-law, mu-law | 8000 to 192000 | 0.000 | 0 |
//! | WAV IMA and MS ADPCM | 8000, 22050 | 0.001 | 0 |
//! | AIFF, CAF, CAF ALAC, FLAC, M4A ALAC, Matroska PCM and FLAC | 16000 to 48000 | 0.000 | 0 |
//! | MP3 with the encoder's tag | 8000 / 44100 | 0.001 | 138.125 / 25.057 |
//! | MP3 without it (delay assumed) | 22050 / 44100 | 0.001 | 50.113 / 25.057 |
//! | Ogg Vorbis, WebM Vorbis | 8000, 44100 | 0.004 | 32.000, 2.902 |
//! | Ogg Opus | 48000 | 0.051 | 6.500 |
//! | WebM, Matroska, MP4 Opus | 48000 | 0.001 | 6.500 |
//! | M4A and Matroska AAC | 8000, 44100 | 0.000 | 128.000, 23.220 |
//! | raw AAC (delay assumed) | 16000, 44100 | 0.000 | 64.000, 23.220 |

use crate::signal::{LENGTH_S, chirps, lateness_s};
use crate::tools::{ffmpeg, file, folder, hear, run, text, write_wav};

/// Lossless and sample by sample: a fraction of one sample.
const EXACT_S: f64 = 0.0001;
/// Lossy with its delay known.
const CLOSE_S: f64 = 0.003;

struct Case {
    ending: &'static str,
    rate: u32,
    words: &'static [&'static str],
    container: &'static str,
    codec: &'static str,
    within_s: f64,
}

impl Case {
    /// How much longer the sound may come out: ffmpeg counts the padding of the last ADPCM block
    /// as sound, and Opus in Matroska and plain frames do not tell theirs.
    fn padded_s(&self) -> f64 {
        if self.codec.starts_with("adpcm") {
            0.14
        } else {
            0.03
        }
    }
}

const fn case(
    ending: &'static str,
    rate: u32,
    words: &'static [&'static str],
    names: (&'static str, &'static str),
    within_s: f64,
) -> Case {
    Case {
        ending,
        rate,
        words,
        container: names.0,
        codec: names.1,
        within_s,
    }
}

const CASES: &[Case] = &[
    case(
        "wav",
        8_000,
        &["-c:a", "pcm_s16le"],
        ("wav", "pcm_s16le"),
        EXACT_S,
    ),
    case(
        "wav",
        44_100,
        &["-c:a", "pcm_u8"],
        ("wav", "pcm_u8"),
        EXACT_S,
    ),
    case(
        "wav",
        48_000,
        &["-c:a", "pcm_s24le"],
        ("wav", "pcm_s24le"),
        EXACT_S,
    ),
    case(
        "wav",
        192_000,
        &["-c:a", "pcm_s32le"],
        ("wav", "pcm_s32le"),
        EXACT_S,
    ),
    case(
        "wav",
        16_000,
        &["-c:a", "pcm_f32le"],
        ("wav", "pcm_f32le"),
        EXACT_S,
    ),
    case(
        "wav",
        22_050,
        &["-c:a", "pcm_f64le"],
        ("wav", "pcm_f64le"),
        EXACT_S,
    ),
    case(
        "wav",
        8_000,
        &["-c:a", "pcm_alaw"],
        ("wav", "pcm_alaw"),
        EXACT_S,
    ),
    case(
        "wav",
        8_000,
        &["-c:a", "pcm_mulaw"],
        ("wav", "pcm_mulaw"),
        EXACT_S,
    ),
    case(
        "wav",
        8_000,
        &["-c:a", "adpcm_ima_wav"],
        ("wav", "adpcm_ima_wav"),
        EXACT_S,
    ),
    case(
        "wav",
        22_050,
        &["-c:a", "adpcm_ms"],
        ("wav", "adpcm_ms"),
        EXACT_S,
    ),
    case("aiff", 44_100, &[], ("aiff", "pcm_s16be"), EXACT_S),
    case("caf", 44_100, &[], ("caf", "pcm_s16be"), EXACT_S),
    case("caf", 44_100, &["-c:a", "alac"], ("caf", "alac"), EXACT_S),
    case("flac", 48_000, &[], ("flac", "flac"), EXACT_S),
    case("mp3", 44_100, &["-b:a", "64k"], ("mp3", "mp3"), CLOSE_S),
    case("mp3", 8_000, &["-b:a", "16k"], ("mp3", "mp3"), CLOSE_S),
    case(
        "mp3",
        22_050,
        &["-b:a", "32k", "-write_xing", "0"],
        ("mp3", "mp3"),
        CLOSE_S,
    ),
    case(
        "mp3",
        44_100,
        &["-b:a", "64k", "-write_xing", "0"],
        ("mp3", "mp3"),
        CLOSE_S,
    ),
    case(
        "ogg",
        44_100,
        &["-c:a", "libvorbis"],
        ("ogg", "vorbis"),
        CLOSE_S,
    ),
    case(
        "ogg",
        8_000,
        &["-c:a", "libvorbis"],
        ("ogg", "vorbis"),
        CLOSE_S,
    ),
    case("opus", 48_000, &["-b:a", "16k"], ("ogg", "opus"), CLOSE_S),
    case(
        "webm",
        48_000,
        &["-c:a", "libopus"],
        ("webm", "opus"),
        CLOSE_S,
    ),
    case(
        "webm",
        44_100,
        &["-c:a", "libvorbis"],
        ("webm", "vorbis"),
        CLOSE_S,
    ),
    case(
        "mkv",
        48_000,
        &["-c:a", "libopus"],
        ("matroska", "opus"),
        CLOSE_S,
    ),
    case(
        "mkv",
        44_100,
        &["-c:a", "flac"],
        ("matroska", "flac"),
        0.001,
    ),
    case(
        "mkv",
        44_100,
        &["-c:a", "aac"],
        ("matroska", "aac"),
        CLOSE_S,
    ),
    case(
        "mkv",
        16_000,
        &["-c:a", "pcm_s16le"],
        ("matroska", "pcm_s16le"),
        0.001,
    ),
    case(
        "mp4",
        48_000,
        &["-c:a", "libopus"],
        ("mp4", "opus"),
        CLOSE_S,
    ),
    case("m4a", 44_100, &["-c:a", "aac"], ("mp4", "aac"), CLOSE_S),
    case(
        "m4a",
        8_000,
        &["-c:a", "aac", "-b:a", "16k"],
        ("mp4", "aac"),
        CLOSE_S,
    ),
    case("m4a", 44_100, &["-c:a", "alac"], ("mp4", "alac"), EXACT_S),
    case("aac", 44_100, &["-c:a", "aac"], ("adts", "aac"), CLOSE_S),
    case(
        "aac",
        16_000,
        &["-c:a", "aac", "-b:a", "24k"],
        ("adts", "aac"),
        CLOSE_S,
    ),
];

#[test]
fn events_keep_their_times_in_every_format() {
    let folder = folder();
    let mut report = String::new();
    let mut failed = false;
    for case in CASES {
        let original = file(&folder, &format!("original-{}.wav", case.rate));
        if !original.exists() {
            write_wav(&original, case.rate, 1, &chirps(case.rate));
        }
        let path = file(&folder, &format!("coded.{}", case.ending));
        ffmpeg(&original, case.words, &path);
        let heard = match hear(&path) {
            Ok(heard) => heard,
            Err(error) => {
                report += &format!(
                    "{:28} {error}\n",
                    format!("{} {}", case.container, case.codec)
                );
                failed = true;
                continue;
            }
        };
        let late = lateness_s(&heard.samples, heard.rate);
        let worst = late
            .iter()
            .fold(0.0_f64, |worst, late| worst.max(late.abs()));
        let length = heard.info.duration.get();
        let fine = worst <= case.within_s
            && heard.info.container == case.container
            && heard.info.codec == case.codec
            && (length - LENGTH_S).abs() < case.padded_s()
            && heard.info.damage.is_empty();
        failed |= !fine;
        report += &format!(
            "{} {:8} {:14} {:6} Hz  first {:+8.3} ms  worst {:7.3} ms  length {:+8.3} ms  \
             removed {:7.3} ms  damage {:?} {}\n",
            if fine { "  " } else { "!!" },
            heard.info.container,
            heard.info.codec,
            case.rate,
            late[0] * 1e3,
            worst * 1e3,
            (length - LENGTH_S) * 1e3,
            heard.info.delay_removed.get() * 1e3,
            heard.info.damage,
            case.words.join(" "),
        );
    }
    println!("{report}");
    assert!(!failed, "\n{report}");
}

#[test]
fn the_padding_of_the_last_adpcm_block_is_cut_where_the_header_tells() {
    let folder = folder();
    let original = file(&folder, "original.wav");
    write_wav(&original, 8_000, 1, &chirps(8_000));
    for (coding, codec) in [("ima-adpcm", "adpcm_ima_wav"), ("ms-adpcm", "adpcm_ms")] {
        let path = file(&folder, "coded.wav");
        run("sox", &[text(&original), "-e", coding, text(&path)]);
        let heard = hear(&path).expect(codec);
        assert_eq!(heard.info.codec, codec);
        assert_eq!(
            heard.samples.len(),
            (LENGTH_S * 8_000.0) as usize,
            "{codec}"
        );
    }
}
