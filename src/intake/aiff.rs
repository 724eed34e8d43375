//! AIFF and AIFF-C whose sizes are wrong because the file was cut or never finished: the common
//! chunk and what there is of the samples are presented to symphonia with sizes that hold, which
//! it insists on. Layout: the format's 1989 description (from memory).

use super::front::{Front, RECORD_AGAIN};
use super::source::Source;
use super::splice::Splice;
use crate::error::{Error, Result};
use std::io::{BufReader, Read, Seek, SeekFrom};
use symphonia::core::io::MediaSource;

/// Chunks looked at before the walk ends.
const MOST_CHUNKS: usize = 256;

#[derive(Default)]
struct Chunks {
    form: [u8; 4],
    common: Option<Vec<u8>>,
    /// First byte of the samples, bytes that are there, bytes claimed.
    samples: Option<(u64, u64, u64)>,
}

/// Presents the samples, and what the header told.
pub(super) fn present(source: &Source) -> Result<(Box<dyn MediaSource>, Front)> {
    let failed = |error| Error::io(&source.given, error);
    let chunks = walk(source.open()?, source.len).map_err(failed)?;
    let (Some(common), Some((at, length, claimed))) = (chunks.common, chunks.samples) else {
        return Err(Error::BadFile {
            file: source.given.clone(),
            what: "it ends before its first sample".into(),
            remedy: RECORD_AGAIN.into(),
        });
    };
    let length = length.min(u64::from(u32::MAX / 2));
    let told = common.get(2..6).and_then(|bytes| bytes.first_chunk());
    let told = told.map(|bytes| u64::from(u32::from_be_bytes(*bytes)));
    let front = Front {
        container: "aiff",
        expected: told.filter(|frames| *frames > 0 && claimed > length),
        unfinished: claimed == 0,
        cut: claimed > length,
        codec_hint: common
            .get(18..22)
            .map(|code| format!("sound coded as '{}' in AIFF", code.escape_ascii())),
        ..Front::default()
    };
    let head = plain_header(chunks.form, &common, length as u32);
    let splice = Splice::new(head, source.open()?, at, length).map_err(failed)?;
    Ok((Box::new(splice), front))
}

fn walk(source: Box<dyn MediaSource>, length: u64) -> std::io::Result<Chunks> {
    let mut file = BufReader::with_capacity(4_096, source);
    let mut chunks = Chunks::default();
    let mut head = [0; 12];
    file.read_exact(&mut head)?;
    chunks.form.copy_from_slice(&head[8..]);
    let mut at = 12;
    for _ in 0..MOST_CHUNKS {
        if at + 8 > length {
            break;
        }
        file.seek(SeekFrom::Start(at))?;
        let mut head = [0; 8];
        file.read_exact(&mut head)?;
        let [id @ .., s0, s1, s2, s3] = head;
        let size = u64::from(u32::from_be_bytes([s0, s1, s2, s3]));
        let body = at + 8;
        match &id {
            b"COMM" => {
                let mut common = vec![0; size.min(length - body).min(512) as usize];
                file.read_exact(&mut common)?;
                chunks.common = Some(common);
            }
            b"SSND" if length - body > 8 => {
                let mut offset = [0; 4];
                file.read_exact(&mut offset)?;
                let first = body + 8 + u64::from(u32::from_be_bytes(offset));
                let there = length.saturating_sub(first);
                let claimed = (body + size).saturating_sub(first);
                let used = if claimed == 0 {
                    there
                } else {
                    claimed.min(there)
                };
                chunks.samples = Some((first, used, claimed));
                if claimed == 0 {
                    break;
                }
            }
            _ => {}
        }
        at = body + size + (size & 1);
    }
    Ok(chunks)
}

fn plain_header(form: [u8; 4], common: &[u8], samples: u32) -> Vec<u8> {
    let padded = common.len() as u32 + (common.len() as u32 & 1);
    let mut head = b"FORM".to_vec();
    head.extend((4 + 8 + padded + 16 + samples).to_be_bytes());
    head.extend(form);
    head.extend(b"COMM");
    head.extend((common.len() as u32).to_be_bytes());
    head.extend(common);
    head.resize(20 + padded as usize, 0);
    head.extend(b"SSND");
    head.extend((samples + 8).to_be_bytes());
    head.extend([0; 8]);
    head
}
