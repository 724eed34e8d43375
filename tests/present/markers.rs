//! The copies with markers, read back by hand: WAV after the specification of 1991, FLAC after
//! RFC 9639.

use crate::fixtures;
use std::io::Cursor;
use tailbeat::Error;
use tailbeat::present::tables::markers::{Form, Making, Marker, markers, write};
use tailbeat::units::{Instant, SampleRate};

fn rate() -> SampleRate {
    SampleRate::new(8000).unwrap()
}

fn written(samples: usize, list: &[Marker]) -> Vec<u8> {
    written_as(Form::Wav, samples, list)
}

fn written_as(form: Form, samples: usize, list: &[Marker]) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    let blocks = [
        Ok(vec![0.5f32; samples / 2]),
        Ok(vec![-1.5f32; samples - samples / 2]),
    ];
    let count = write(form, &mut out, "copy.wav", rate(), blocks, list).unwrap();
    assert_eq!(count, samples as u64);
    out.into_inner()
}

fn number(bytes: &[u8], at: usize) -> u32 {
    u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap())
}

/// Name and content of each chunk after the RIFF head.
fn chunks(bytes: &[u8]) -> Vec<(String, Vec<u8>)> {
    assert_eq!((&bytes[..4], &bytes[8..12]), (&b"RIFF"[..], &b"WAVE"[..]));
    assert_eq!(number(bytes, 4) as usize, bytes.len() - 8);
    let mut list = Vec::new();
    let mut at = 12;
    while at < bytes.len() {
        let size = number(bytes, at + 4) as usize;
        let name = String::from_utf8(bytes[at..at + 4].to_vec()).unwrap();
        list.push((name, bytes[at + 8..at + 8 + size].to_vec()));
        at += 8 + size + size % 2;
    }
    assert_eq!(at, bytes.len());
    list
}

fn three() -> Vec<Marker> {
    [(10, "carrier comes up"), (40, "drop"), (41, "odd")]
        .map(|(frame, label)| Marker {
            frame,
            label: label.into(),
        })
        .to_vec()
}

#[test]
fn three_points_take_the_sizes_of_the_specification() {
    let bytes = written(100, &three());
    let list = chunks(&bytes);
    let names: Vec<&str> = list.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["fmt ", "data", "cue ", "LIST"]);
    let cue = &list[2].1;
    assert_eq!(cue.len(), 76, "4 and 24 a point");
    assert_eq!(number(cue, 0), 3);
    for (n, frame) in [10, 40, 41].into_iter().enumerate() {
        let point = &cue[4 + 24 * n..];
        assert_eq!(number(point, 0) as usize, n + 1, "name");
        assert_eq!(&point[8..12], b"data");
        assert_eq!(
            (number(point, 12), number(point, 16)),
            (0, 0),
            "chunk and block start"
        );
        assert_eq!(number(point, 20), frame, "sample offset");
    }
    let labels = &list[3].1;
    assert_eq!(&labels[..4], b"adtl");
    assert_eq!(&labels[4..8], b"labl");
    assert_eq!(number(labels, 8), 4 + 17, "name, text, zero");
    assert_eq!(&labels[16..33], b"carrier comes up\0");
    assert_eq!(&labels[34..38], b"labl", "padded to an even length");
}

#[test]
fn samples_are_scaled_and_clipped() {
    let bytes = written(4, &[]);
    let data = &chunks(&bytes)[1].1;
    let samples: Vec<i16> = data
        .chunks(2)
        .map(|pair| i16::from_le_bytes(pair.try_into().unwrap()))
        .collect();
    assert_eq!(samples, [16_384, 16_384, -32_768, -32_768]);
    assert_eq!(chunks(&bytes).len(), 2, "no markers, no chunks for them");
    let reader = hound::WavReader::new(Cursor::new(bytes)).unwrap();
    assert_eq!(
        (reader.spec().sample_rate, reader.spec().channels),
        (8000, 1)
    );
}

#[test]
fn markers_behind_the_end_and_before_the_start_are_left_out() {
    let late = [
        Marker {
            frame: 99,
            label: "in".into(),
        },
        Marker {
            frame: 100,
            label: "out".into(),
        },
    ];
    assert_eq!(number(&chunks(&written(100, &late))[2].1, 0), 1);
    let check = fixtures::two_drops();
    let all = markers(&check, rate(), Instant(0.0));
    assert_eq!(all.len(), check.timeline.events.len());
    assert_eq!(all[0].frame, 6400, "0.8 s at 8 kHz");
    let later = markers(&check, rate(), Instant(0.9));
    assert_eq!(later.len(), all.len() - 1);
    assert_eq!(later[0].frame, 800, "1.0 s, counted from 0.9 s");
}

#[test]
fn a_block_that_fails_is_passed_on() {
    for form in [Form::Wav, Form::Flac] {
        let fault = Error::BadFile {
            file: "x".into(),
            what: "y".into(),
            remedy: "z".into(),
        };
        let mut out = Cursor::new(Vec::new());
        let got = write(form, &mut out, "copy", rate(), [Err(fault)], &[]);
        assert!(matches!(got, Err(Error::BadFile { .. })));
    }
}

/// Kind and content of each metadata block.
fn blocks(bytes: &[u8]) -> Vec<(u8, Vec<u8>)> {
    assert_eq!(&bytes[..4], b"fLaC");
    let mut list = Vec::new();
    let mut at = 4;
    loop {
        let head = u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap());
        let (kind, size) = ((head >> 24) as u8, (head & 0xFF_FFFF) as usize);
        at += 4;
        list.push((kind & 0x7F, bytes[at..at + size].to_vec()));
        at += size;
        if kind & 0x80 != 0 {
            break;
        }
    }
    // A frame follows at once, or nothing.
    assert!(at == bytes.len() || bytes[at..at + 2] == [0xFF, 0xF8]);
    list
}

fn content(bytes: &[u8], kind: u8) -> Option<Vec<u8>> {
    let mut found = blocks(bytes).into_iter().filter(|(k, _)| *k == kind);
    let content = found.next().map(|(_, content)| content);
    assert_eq!(found.count(), 0, "two of kind {kind}");
    content
}

/// Samples that a FLAC file's head tells of.
fn total(bytes: &[u8]) -> u64 {
    let facts = content(bytes, 0).unwrap();
    u64::from_be_bytes(facts[10..18].try_into().unwrap()) & 0xF_FFFF_FFFF
}

/// Every point of the cue sheet as a sample, and the number of its track.
fn points(bytes: &[u8]) -> Vec<(u64, u8)> {
    let Some(sheet) = content(bytes, 5) else {
        return Vec::new();
    };
    let long = |at: usize| u64::from_be_bytes(sheet[at..at + 8].try_into().unwrap());
    let tracks = usize::from(sheet[395]);
    let (mut at, mut list) = (396, Vec::new());
    for n in 0..tracks {
        let (start, number, count) = (long(at), sheet[at + 8], usize::from(sheet[at + 35]));
        at += 36;
        if n + 1 == tracks {
            assert_eq!((number, count, start), (255, 0, total(bytes)), "the end");
        }
        for point in 0..count {
            assert_eq!(usize::from(sheet[at + 8]), point + 1, "points count from 1");
            list.push((start + long(at), number));
            at += 12;
        }
    }
    assert_eq!(at, sheet.len());
    list
}

#[test]
fn flac_names_each_markers_sample_and_its_words() {
    let bytes = written_as(Form::Flac, 9_000, &three());
    let kinds: Vec<u8> = blocks(&bytes).iter().map(|(kind, _)| *kind).collect();
    assert_eq!(kinds, [0, 4, 5, 1], "facts, comments, cue sheet, padding");
    let facts = content(&bytes, 0).unwrap();
    assert_eq!(facts.len(), 34);
    assert_eq!(facts[..4], [0x10, 0, 0x10, 0], "frames of 4096");
    assert_eq!(total(&bytes), 9_000);
    assert_eq!(points(&bytes), [(10, 1), (40, 2), (41, 3)]);
    let comments = String::from_utf8_lossy(&content(&bytes, 4).unwrap()).into_owned();
    for line in [
        "CHAPTER001=00:00:00.001",
        "CHAPTER001NAME=carrier comes up",
        "CHAPTER002=00:00:00.005",
        "CHAPTER003NAME=odd",
    ] {
        assert!(comments.contains(line), "{line}: {comments}");
    }
}

#[test]
fn flac_leaves_late_markers_out_and_is_whole_without_any() {
    let late = [99, 100].map(|frame| Marker {
        frame,
        label: "late".into(),
    });
    let bytes = written_as(Form::Flac, 100, &late);
    assert_eq!(points(&bytes), [(99, 1)]);
    let comments = content(&bytes, 4).unwrap();
    assert!(!String::from_utf8_lossy(&comments).contains("CHAPTER002"));
    for samples in [0, 1, 4_096, 4_097] {
        let bytes = written_as(Form::Flac, samples, &[]);
        assert_eq!((total(&bytes), content(&bytes, 5)), (samples as u64, None));
    }
}

#[test]
fn flac_holds_more_markers_than_a_cue_sheet_has_tracks() {
    let list: Vec<Marker> = (0..1_100)
        .map(|n| Marker {
            frame: n * 7 + n % 3,
            label: format!("number {n}"),
        })
        .collect();
    let bytes = written_as(Form::Flac, 8_000, &list);
    let frames: Vec<u64> = points(&bytes).iter().map(|(frame, _)| *frame).collect();
    assert_eq!(frames, list.iter().map(|m| m.frame).collect::<Vec<u64>>());
    let tracks: Vec<u8> = points(&bytes).iter().map(|(_, track)| *track).collect();
    assert!(tracks.is_sorted() && tracks.last() <= Some(&254));
    let comments = content(&bytes, 4).unwrap();
    let comments = String::from_utf8_lossy(&comments);
    // Chapters have three digits.
    assert!(comments.contains("CHAPTER999=") && !comments.contains("CHAPTER1000"));
}

/// All samples of a file as the intake decodes them.
fn decoded(name: &str, bytes: Vec<u8>) -> Vec<f32> {
    let stream = Box::new(Cursor::new(bytes));
    let mut recording = tailbeat::intake::open_stream(name, stream).unwrap();
    let mut samples = Vec::new();
    while let Some(block) = recording.next_block().unwrap() {
        samples.extend_from_slice(block.samples);
    }
    assert!(recording.finish().unwrap().damage.is_empty());
    samples
}

#[test]
fn both_forms_hold_the_same_samples_in_whatever_pieces_they_came() {
    let mut state = 7_u32;
    let sound: Vec<f32> = (0..30_000)
        .map(|n| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let noise = state as f32 / u32::MAX as f32 - 0.5;
            // Loud enough to be clipped here and there, with digital silence in the middle.
            if (9_000..15_000).contains(&n) {
                0.0
            } else {
                (n as f32 * 0.02).sin() * 1.2 + noise
            }
        })
        .collect();
    let copy = |form, piece: usize| {
        let mut out = Cursor::new(Vec::new());
        let pieces = sound.chunks(piece).map(|c| Ok(c.to_vec()));
        write(form, &mut out, "copy", rate(), pieces, &three()).unwrap();
        out.into_inner()
    };
    let flac = copy(Form::Flac, 30_000);
    for piece in [1, 777, 4_096, 5_000] {
        assert!(flac == copy(Form::Flac, piece), "pieces of {piece}");
    }
    let wav = decoded("copy.wav", copy(Form::Wav, 777));
    assert!(wav == decoded("copy.flac", flac));
    assert!(wav.contains(&-1.0) && wav.len() == 30_000);
}

#[test]
fn a_body_that_came_by_and_by_stands_between_its_head_and_its_tail() {
    for form in [Form::Wav, Form::Flac] {
        let mut making = Making::new(form, "copy", rate()).unwrap();
        let mut body = Vec::new();
        let tone: Vec<f32> = (0..9_000).map(|n| (n % 8) as f32 / 16.0).collect();
        for piece in tone.chunks(3_500) {
            body.extend(making.add(piece).unwrap());
        }
        assert_eq!(making.samples(), 9_000);
        let around = making.close(&three()).unwrap();
        let bytes = [around.head, body, around.tail].concat();
        let list = match form {
            Form::Wav => chunks(&bytes).len(),
            Form::Flac => blocks(&bytes).len(),
        };
        assert_eq!(list, [4, 3][usize::from(form == Form::Flac)], "{form:?}");
        let samples = decoded(&format!("copy.{}", form.ending()), bytes);
        assert!(samples == tone, "{form:?}");
    }
}

#[test]
fn flac_above_its_encoders_rates_is_refused_in_words() {
    let fast = SampleRate::new(192_000).unwrap();
    assert!(Form::Wav.holds(fast) && !Form::Flac.holds(fast) && Form::Flac.holds(rate()));
    let fault = Making::new(Form::Flac, "copy.flac", fast).err().unwrap();
    assert!(
        fault.to_string().contains("192000 Hz") && fault.to_string().contains("WAV"),
        "{fault}"
    );
}
