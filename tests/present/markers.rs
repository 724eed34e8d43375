//! The WAV copy with cue markers, read back by hand after the specification of 1991.

use crate::fixtures;
use std::io::Cursor;
use tailbeat::Error;
use tailbeat::present::tables::markers::{Marker, markers, write_wav};
use tailbeat::units::{Instant, SampleRate};

fn rate() -> SampleRate {
    SampleRate::new(8000).unwrap()
}

fn written(samples: usize, list: &[Marker]) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    let blocks = [
        Ok(vec![0.5f32; samples / 2]),
        Ok(vec![-1.5f32; samples - samples / 2]),
    ];
    let count = write_wav(&mut out, "copy.wav", rate(), blocks, list).unwrap();
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
    let fault = Error::BadFile {
        file: "x".into(),
        what: "y".into(),
        remedy: "z".into(),
    };
    let mut out = Cursor::new(Vec::new());
    let got = write_wav(&mut out, "copy.wav", rate(), [Err(fault)], &[]);
    assert!(matches!(got, Err(Error::BadFile { .. })));
}
