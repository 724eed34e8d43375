//! Walks over the chunks.

use crate::intake::start::{self, Moment};
use crate::units::Seconds;
use std::io::{BufReader, Read, Result, Seek, SeekFrom};
use symphonia::core::io::MediaSource;

/// Chunks looked at before the walk ends: a recorder writes a handful, damage any number.
const MOST_CHUNKS: usize = 256;

/// Size that says "see elsewhere" or "unknown when this was written".
const UNKNOWN: u32 = u32::MAX;

/// Where the samples are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Data {
    /// First byte.
    pub at: u64,
    /// Bytes that are there.
    pub length: u64,
    /// Bytes that the header claims, where it claims any.
    pub claimed: Option<u64>,
    /// The header was never finished: the recorder was interrupted.
    pub unfinished: bool,
}

/// What the chunks tell.
#[derive(Debug, Default)]
pub(super) struct Chunks {
    /// The `fmt ` chunk.
    pub format: Option<Vec<u8>>,
    /// The samples.
    pub data: Option<Data>,
    /// Samples a channel, by `fact` or `ds64`.
    pub frames_told: Option<u64>,
    /// RF64 or BW64.
    pub long: bool,
    broadcast: Option<Vec<u8>>,
    date: Option<Moment>,
    long_data: Option<u64>,
}

impl Chunks {
    /// Reads all chunks of a file of `length` bytes.
    pub fn read(source: Box<dyn MediaSource>, length: u64) -> Result<Self> {
        let mut file = BufReader::with_capacity(4_096, source);
        let mut chunks = Self::default();
        let mut id = [0; 4];
        file.read_exact(&mut id)?;
        chunks.long = &id != b"RIFF";
        let mut at = 12;
        for _ in 0..MOST_CHUNKS {
            if at + 8 > length {
                break;
            }
            file.seek(SeekFrom::Start(at))?;
            file.read_exact(&mut id)?;
            let mut size = [0; 4];
            file.read_exact(&mut size)?;
            let size = u32::from_le_bytes(size);
            let body = at + 8;
            let there = length - body;
            let used = match &id {
                b"data" if chunks.data.is_none() => {
                    let data = chunks.data_at(&mut file, body, size, there)?;
                    chunks.data = Some(data);
                    data.claimed.unwrap_or(data.length)
                }
                _ => {
                    let most = u64::from(size).min(there).min(4_096) as usize;
                    let mut bytes = vec![0; most];
                    file.read_exact(&mut bytes)?;
                    chunks.take(id, bytes);
                    u64::from(size)
                }
            };
            // Chunks start at even bytes.
            at = body.saturating_add(used).saturating_add(used & 1);
        }
        Ok(chunks)
    }

    fn take(&mut self, id: [u8; 4], bytes: Vec<u8>) {
        match &id {
            b"fmt " if self.format.is_none() => self.format = Some(bytes),
            b"bext" => self.broadcast = Some(bytes),
            b"fact" => {
                let told = bytes.first_chunk().map(|bytes| u32::from_le_bytes(*bytes));
                if let Some(told) = told.filter(|told| *told != UNKNOWN) {
                    self.frames_told = Some(u64::from(told));
                }
            }
            b"ds64" => {
                let number = |from: usize| {
                    let bytes = bytes.get(from..from + 8)?.first_chunk()?;
                    Some(u64::from_le_bytes(*bytes))
                };
                self.long_data = number(8);
                self.frames_told = number(16).filter(|told| *told > 0);
            }
            b"LIST" if bytes.starts_with(b"INFO") => {
                self.date = date_in_list(&bytes[4..]).or(self.date);
            }
            _ => {}
        }
    }

    fn data_at<R: Read>(&self, file: &mut R, at: u64, size: u32, there: u64) -> Result<Data> {
        let streamed = Data {
            at,
            length: there,
            claimed: None,
            unfinished: false,
        };
        if self.long && (size == UNKNOWN || self.long_data.is_some_and(|l| l > u64::from(size))) {
            return Ok(match self.long_data {
                Some(claimed) if claimed > 0 => Data {
                    length: claimed.min(there),
                    claimed: Some(claimed),
                    ..streamed
                },
                _ => Data {
                    unfinished: true,
                    ..streamed
                },
            });
        }
        if size == UNKNOWN {
            return Ok(streamed);
        }
        let claimed = u64::from(size);
        if claimed == 0 && there > 0 {
            let mut next = [0; 8];
            let whole = there >= 8 && file.read_exact(&mut next).is_ok();
            if whole && looks_like_chunk(&next, there) {
                return Ok(Data {
                    length: 0,
                    claimed: Some(0),
                    ..streamed
                });
            }
            return Ok(Data {
                unfinished: true,
                ..streamed
            });
        }
        // A plain header over a long file: the size has wrapped, perhaps more than once.
        const WRAP: u64 = 1 << 32;
        let wraps = there.saturating_sub(claimed) / WRAP;
        let claimed = claimed + wraps * WRAP;
        Ok(Data {
            length: claimed.min(there),
            claimed: Some(claimed),
            ..streamed
        })
    }

    /// The start time: broadcast extension first, then the date in the information list.
    pub fn started(&self, rate: u32) -> Option<Moment> {
        self.broadcast
            .as_deref()
            .and_then(|bytes| broadcast_start(bytes, rate))
            .or(self.date)
    }
}

fn looks_like_chunk(head: &[u8; 8], there: u64) -> bool {
    let (id, size) = head.split_at(4);
    let size = size
        .first_chunk()
        .map_or(0, |size| u64::from(u32::from_le_bytes(*size)));
    id.iter().all(|c| c.is_ascii_alphanumeric() || *c == b' ') && 8 + size <= there
}

/// `ICRD` and `IDIT` of an information list.
fn date_in_list(mut list: &[u8]) -> Option<Moment> {
    while let Some((head, rest)) = list.split_first_chunk::<8>() {
        let size = u32::from_le_bytes([head[4], head[5], head[6], head[7]]) as usize;
        let text = rest.get(..size.min(rest.len()))?;
        if matches!(&head[..4], b"ICRD" | b"IDIT")
            && let Some(moment) = start::find(&String::from_utf8_lossy(text))
        {
            return Some(moment);
        }
        list = rest.get(size.saturating_add(size & 1)..)?;
    }
    None
}

/// Origination date and time, made finer by the count of samples since midnight where the two
/// agree.
fn broadcast_start(bytes: &[u8], rate: u32) -> Option<Moment> {
    let date = String::from_utf8_lossy(bytes.get(320..330)?).into_owned();
    let time = String::from_utf8_lossy(bytes.get(330..338)?).into_owned();
    // Any separator is allowed; ours are dashes and colons.
    let plain = |text: &str, with: &str| {
        let digits = text
            .split(|c: char| !c.is_ascii_digit())
            .collect::<Vec<_>>();
        digits.join(with)
    };
    let moment = start::find(&format!("{}T{}", plain(&date, "-"), plain(&time, ":")))?;
    let since_midnight = bytes
        .get(338..346)?
        .first_chunk()
        .map(|b| u64::from_le_bytes(*b))?;
    let fine = since_midnight as f64 / f64::from(rate.max(1));
    let second_of_day = moment.second_of_day();
    let fraction = fine - second_of_day;
    if since_midnight > 0 && (0.0..1.0).contains(&fraction) {
        return moment.refined(Seconds(fraction), Seconds(1.0 / f64::from(rate.max(1))));
    }
    Some(moment)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn chunk(id: &[u8; 4], body: &[u8]) -> Vec<u8> {
        let mut bytes = id.to_vec();
        bytes.extend((body.len() as u32).to_le_bytes());
        bytes.extend(body);
        bytes.resize(bytes.len() + (body.len() & 1), 0);
        bytes
    }

    fn walk(id: &[u8; 4], chunks: &[Vec<u8>]) -> Chunks {
        let mut bytes = id.to_vec();
        bytes.extend([0, 0, 0, 0]);
        bytes.extend(b"WAVE");
        chunks.iter().for_each(|chunk| bytes.extend(chunk));
        let length = bytes.len() as u64;
        Chunks::read(Box::new(Cursor::new(bytes)), length).expect("chunks")
    }

    fn with_size(mut chunk: Vec<u8>, size: u32) -> Vec<u8> {
        chunk[4..8].copy_from_slice(&size.to_le_bytes());
        chunk
    }

    fn broadcast(date: &[u8; 10], time: &[u8; 8], samples: u64) -> Vec<u8> {
        let mut body = vec![0; 602];
        body[320..330].copy_from_slice(date);
        body[330..338].copy_from_slice(time);
        body[338..346].copy_from_slice(&samples.to_le_bytes());
        chunk(b"bext", &body)
    }

    #[test]
    fn an_unfinished_header_gives_the_rest_of_the_file() {
        let data = with_size(chunk(b"data", &[7; 40]), 0);
        let found = walk(b"RIFF", &[data]).data.expect("data");
        assert_eq!((found.length, found.unfinished), (40, true));
    }

    #[test]
    fn no_samples_and_a_list_behind_is_a_finished_header() {
        let found = walk(b"RIFF", &[chunk(b"data", &[]), chunk(b"LIST", b"INFO")]).data;
        assert_eq!(
            found.map(|data| (data.length, data.unfinished)),
            Some((0, false))
        );
    }

    #[test]
    fn the_long_size_counts_and_what_lies_behind_the_samples_does_not() {
        let mut ds64 = [0; 28];
        ds64[8] = 40;
        ds64[16] = 20;
        let data = with_size(chunk(b"data", &[7; 40]), UNKNOWN);
        let chunks = walk(
            b"RF64",
            &[chunk(b"ds64", &ds64), data, chunk(b"bext", &[0; 602])],
        );
        assert_eq!(chunks.data.map(|data| data.length), Some(40));
        assert_eq!(chunks.frames_told, Some(20));
    }

    #[test]
    fn a_cut_file_keeps_what_is_there_and_what_was_claimed() {
        let data = with_size(chunk(b"data", &[7; 40]), 1_000);
        let found = walk(b"RIFF", &[data]).data.expect("data");
        assert_eq!((found.length, found.claimed), (40, Some(1_000)));
    }

    #[test]
    fn samples_since_midnight_refine_the_second_they_agree_with() {
        let day = b"2026-04-12";
        let half_past = 8_000 * (18 * 3_600 + 30 * 60 + 55) + 2_000;
        let fine = walk(b"RIFF", &[broadcast(day, b"18:30:55", half_past)]).started(8_000);
        let moment = fine.expect("a start");
        assert_eq!(moment.rfc3339(), "2026-04-12T18:30:55.25");
        assert!(moment.resolution.0 < 1e-3);
        let other = walk(b"RIFF", &[broadcast(day, b"18-30-55", 17)]).started(8_000);
        assert_eq!(other.expect("a start").rfc3339(), "2026-04-12T18:30:55");
        assert!(
            walk(
                b"RIFF",
                &[broadcast(b"\0\0\0\0\0\0\0\0\0\0", b"18:30:55", 0)]
            )
            .started(8_000)
            .is_none()
        );
    }

    #[test]
    fn the_date_of_an_information_list_counts_only_with_its_time() {
        let list = |date: &[u8]| {
            let mut body = b"INFO".to_vec();
            body.extend(chunk(b"ISFT", b"odd"));
            body.extend(chunk(b"ICRD", date));
            walk(b"RIFF", &[chunk(b"LIST", &body)]).started(8_000)
        };
        assert!(list(b"2026-04-12").is_none());
        let told = list(b"2026-04-12 18:30:55").expect("a start");
        assert_eq!(told.rfc3339(), "2026-04-12T18:30:55");
    }
}
