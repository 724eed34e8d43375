//! Goes on behind damage. Symphonia's reader gives up at the first element that makes no sense;
//! the next cluster begins with a mark and its own time, so a new reader that is shown the
//! header and the rest of the file from there on can take over.

use crate::intake::first::guarded;
use crate::intake::front::probe;
use crate::intake::source::Source;
use crate::intake::splice::Splice;
use crate::tuning::intake::READ_AHEAD_BYTES;
use std::io::{Read, Seek, SeekFrom};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use symphonia::core::errors::{Error, Result, SeekErrorKind, seek_error};
use symphonia::core::formats::{
    FormatInfo, FormatReader, MediaInfo, SeekMode, SeekTo, SeekedTo, Track,
};
use symphonia::core::io::{MediaSource, MediaSourceStream, ReadOnlySource};
use symphonia::core::meta::Metadata;
use symphonia::core::packet::Packet;

/// Identifier of a cluster.
const CLUSTER: [u8; 4] = [0x1f, 0x43, 0xb6, 0x75];

/// Bytes looked at for the first cluster.
const MOST_HEADER_BYTES: usize = 1 << 20;

/// Bytes scanned at a time.
const STEP_BYTES: usize = 64 << 10;

/// A reader that goes on.
pub(in crate::intake) struct Resuming {
    reader: Box<dyn FormatReader>,
    source: Source,
    /// Everything before the first cluster; empty where that was not found.
    header: Vec<u8>,
    /// Where the reader was when it gave the last good packet.
    passed: Arc<AtomicU64>,
    good_until: u64,
    last_stamp: Option<i64>,
    resumed: bool,
}

impl Resuming {
    /// Opens the file.
    pub fn open(source: Source, media: Box<dyn MediaSource>) -> Result<Box<dyn FormatReader>> {
        let passed = Arc::new(AtomicU64::new(0));
        let mut opened = probe(Box::new(Counted {
            inner: media,
            passed: Arc::clone(&passed),
        }));
        if opened.is_err() {
            // A cut file lacks the index at its end, which symphonia wants to see wherever it
            // can seek, and can do without where it cannot.
            let again = source.open().map_err(into_io)?;
            passed.store(0, Ordering::Relaxed);
            let counted = Counted {
                inner: again,
                passed: Arc::clone(&passed),
            };
            opened = probe(Box::new(ReadOnlySource::new(counted)));
        }
        let mut header = source.head(MOST_HEADER_BYTES).map_err(into_io)?;
        let first = clusters(&header).next().map_or(0, |(at, _)| at);
        header.truncate(first);
        header.shrink_to_fit();
        Ok(Box::new(Self {
            reader: opened?,
            source,
            header,
            passed,
            good_until: first as u64,
            last_stamp: None,
            resumed: false,
        }))
    }

    /// Finds the next cluster whose time lies behind the last packet's, and reads on from it.
    fn resume(&mut self) -> Result<bool> {
        if self.header.is_empty() {
            return Ok(false);
        }
        // The reader reads ahead of what it gives.
        let from = self.good_until.saturating_sub(2 * READ_AHEAD_BYTES as u64);
        let from = from.max(self.header.len() as u64);
        let Some(at) = self.find_cluster(from)? else {
            return Ok(false);
        };
        self.good_until = at + CLUSTER.len() as u64 + 2 * READ_AHEAD_BYTES as u64;
        let media = self.source.open().map_err(into_io)?;
        let length = self.source.len - at;
        let splice = Splice::new(self.header.clone(), media, at, length)?;
        match probe(Box::new(ReadOnlySource::new(splice))) {
            Ok(reader) => {
                self.reader = reader;
                self.resumed = true;
                Ok(true)
            }
            Err(_) => Ok(false),
        }
    }

    fn find_cluster(&self, from: u64) -> Result<Option<u64>> {
        let mut file = self.source.open().map_err(into_io)?;
        file.seek(SeekFrom::Start(from))?;
        let mut window: Vec<u8> = Vec::new();
        let mut begins = from;
        loop {
            let had = window.len();
            let got = file
                .by_ref()
                .take(STEP_BYTES as u64)
                .read_to_end(&mut window)?;
            let behind = |(_, time): &(usize, u64)| {
                self.last_stamp
                    .is_none_or(|last| i128::from(*time) > i128::from(last))
            };
            if let Some((at, _)) = clusters(&window).find(behind) {
                return Ok(Some(begins + at as u64));
            }
            if got == 0 {
                return Ok(None);
            }
            // A cluster's beginning may lie across the seam.
            let keep = (had + got).min(32);
            begins += (had + got - keep) as u64;
            window.drain(..had + got - keep);
        }
    }
}

/// Clusters in these bytes: where, and their time in ticks.
fn clusters(bytes: &[u8]) -> impl Iterator<Item = (usize, u64)> + '_ {
    let marks = bytes
        .windows(4)
        .enumerate()
        .filter(|(_, four)| *four == CLUSTER);
    marks.filter_map(|(at, _)| Some((at, cluster_time(&bytes[at + 4..])?)))
}

/// The time that follows a cluster's size: element 0xe7, one to eight bytes.
fn cluster_time(rest: &[u8]) -> Option<u64> {
    let size_bytes = rest.first()?.leading_zeros() as usize + 1;
    let [0xe7, length, number @ ..] = rest.get(size_bytes..)? else {
        return None;
    };
    let length = usize::from(length.checked_sub(0x80)?);
    let number = number
        .get(..length)
        .filter(|bytes| (1..=8).contains(&bytes.len()))?;
    Some(
        number
            .iter()
            .fold(0, |sum, byte| sum << 8 | u64::from(*byte)),
    )
}

fn into_io(error: crate::error::Error) -> Error {
    Error::IoError(std::io::Error::other(error.to_string()))
}

/// Counts the bytes that were read.
struct Counted {
    inner: Box<dyn MediaSource>,
    passed: Arc<AtomicU64>,
}

impl Read for Counted {
    fn read(&mut self, out: &mut [u8]) -> std::io::Result<usize> {
        let got = self.inner.read(out)?;
        self.passed.fetch_add(got as u64, Ordering::Relaxed);
        Ok(got)
    }
}

impl Seek for Counted {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        let at = self.inner.seek(to)?;
        self.passed.store(at, Ordering::Relaxed);
        Ok(at)
    }
}

impl MediaSource for Counted {
    fn is_seekable(&self) -> bool {
        self.inner.is_seekable()
    }

    fn byte_len(&self) -> Option<u64> {
        self.inner.byte_len()
    }
}

impl FormatReader for Resuming {
    fn format_info(&self) -> &FormatInfo {
        self.reader.format_info()
    }

    fn media_info(&self) -> &MediaInfo {
        self.reader.media_info()
    }

    fn metadata(&mut self) -> Metadata<'_> {
        self.reader.metadata()
    }

    fn seek(&mut self, _mode: SeekMode, _to: SeekTo) -> Result<SeekedTo> {
        seek_error(SeekErrorKind::Unseekable)
    }

    fn tracks(&self) -> &[Track] {
        self.reader.tracks()
    }

    fn next_packet(&mut self) -> Result<Option<Packet>> {
        loop {
            match guarded(|| self.reader.next_packet()) {
                Ok(Some(packet)) => {
                    let stamp = packet.pts.get();
                    if self.resumed && self.last_stamp.is_some_and(|last| stamp <= last) {
                        continue;
                    }
                    self.last_stamp = Some(stamp);
                    if !self.resumed {
                        self.good_until = self.passed.load(Ordering::Relaxed);
                    }
                    return Ok(Some(packet));
                }
                Ok(None) => return Ok(None),
                Err(error) => {
                    if self.resume()? {
                        continue;
                    }
                    // The header's size no longer fits, so the end comes as an error.
                    return match error {
                        Error::IoError(_) if self.resumed => Ok(None),
                        error => Err(error),
                    };
                }
            }
        }
    }

    fn into_inner<'s>(self: Box<Self>) -> MediaSourceStream<'s>
    where
        Self: 's,
    {
        self.reader.into_inner()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clusters_are_found_with_their_times_and_chance_hits_are_not() {
        let mut bytes = vec![0x1f, 0x43, 0xb6, 0x75, 0x01, 0, 0, 0, 0, 0, 1, 0];
        bytes.extend([0xe7, 0x82, 0x13, 0x88, 0xa3]);
        bytes.extend([0x1f, 0x43, 0xb6, 0x75, 0x81, 0xff, 0xff]);
        bytes.extend([0x1f, 0x43, 0xb6, 0x75, 0x84, 0xe7, 0x81, 0x07]);
        let found: Vec<_> = clusters(&bytes).collect();
        assert_eq!(found, [(0, 5_000), (24, 7)]);
    }
}
