//! Recordings of days: RF64 of 8-bit mu-law, as loggers write them where 4 GB are not enough.

use std::io::{BufWriter, Write};
use std::path::Path;

/// Writes the samples over and over, until so many are written.
///
/// # Panics
/// The disk is full.
pub fn write(path: &Path, samples: &[f32], rate_hz: u32, count: u64) {
    let file = std::fs::File::create(path).expect("a file");
    let mut out = BufWriter::with_capacity(1 << 20, file);
    let mut put = |bytes: &[u8]| out.write_all(bytes).expect("room on the disk");
    // ITU-R BS.2088-1: the sizes stand in ds64, and in their old places is all ones.
    put(b"RF64\xff\xff\xff\xffWAVEds64\x1c\0\0\0");
    for size in [count + 86, count, count] {
        put(&size.to_le_bytes());
    }
    put(&0_u32.to_le_bytes());
    put(b"fmt \x12\0\0\0\x07\0\x01\0");
    put(&rate_hz.to_le_bytes());
    put(&rate_hz.to_le_bytes());
    put(b"\x01\0\x08\0\0\0fact\x04\0\0\0\xff\xff\xff\xffdata\xff\xff\xff\xff");
    let coded: Vec<u8> = samples.iter().map(|s| mu_law(*s)).collect();
    let mut left = count;
    while left > 0 {
        let part = left.min(coded.len() as u64) as usize;
        put(&coded[..part]);
        left -= part as u64;
    }
    out.flush().expect("room on the disk");
}

/// ITU-T G.711: sign, segment and step of the magnitude in 14 bits, all bits turned over.
fn mu_law(sample: f32) -> u8 {
    let scaled = (sample * 8_192.0) as i32;
    let magnitude = (scaled.unsigned_abs() + 33).min(8_191);
    let segment = magnitude.ilog2() - 5;
    let step = (magnitude >> (segment + 1)) & 0x0f;
    let sign = if scaled < 0 { 0x80 } else { 0 };
    !(sign | (segment as u8) << 4 | step as u8)
}
