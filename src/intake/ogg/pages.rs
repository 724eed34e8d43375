//! The source that symphonia reads: page after page, headers repeated behind a hole.

use super::page::{LARGEST_BYTES, MARK, Page};
use std::io::{Error, Read, Result, Seek, SeekFrom};
use symphonia::core::io::MediaSource;

/// Header pages kept for repetition: setup data of Vorbis takes a few kilobytes, a comment with
/// a picture any number.
const MOST_HEADER_BYTES: usize = 256 << 10;

/// Pages that hold together.
pub(super) struct Pages {
    inner: Box<dyn MediaSource>,
    /// Bytes read and not yet cut into pages.
    raw: Vec<u8>,
    at: usize,
    ended: bool,
    /// Bytes ready to be given out.
    ready: Vec<u8>,
    given: usize,
    stream: Stream,
}

/// The stream that is being read.
#[derive(Default)]
struct Stream {
    serial: u32,
    /// Header pages as they were, once complete.
    headers: Vec<u8>,
    headers_left: usize,
    next_sequence: u32,
    hole: bool,
    /// Several streams at once, or headers that cannot be counted: holes are left alone.
    leave_alone: bool,
    seen_sound: bool,
}

impl Pages {
    /// From the start of `inner`.
    pub fn new(inner: Box<dyn MediaSource>) -> Self {
        Self {
            inner,
            raw: Vec::new(),
            at: 0,
            ended: false,
            ready: Vec::new(),
            given: 0,
            stream: Stream::default(),
        }
    }

    /// Makes the next page ready; `false` at the end.
    fn advance(&mut self) -> Result<bool> {
        self.ready.clear();
        self.given = 0;
        loop {
            self.fill(LARGEST_BYTES)?;
            let rest = &self.raw[self.at..];
            if rest.is_empty() {
                return Ok(false);
            }
            if let Some(page) = Page::read(rest) {
                self.stream.take(page, &mut self.ready);
                self.at += page.bytes().len();
                return Ok(true);
            }
            // The file ends within a page: symphonia shall see that it does.
            if self.ended && rest.starts_with(MARK) && !rest[4..].windows(4).any(|w| w == MARK) {
                self.ready.extend_from_slice(rest);
                self.at = self.raw.len();
                return Ok(true);
            }
            self.stream.hole = true;
            let next = rest.iter().skip(1).position(|byte| *byte == MARK[0]);
            self.at += next.map_or(rest.len(), |next| next + 1);
        }
    }

    fn fill(&mut self, want: usize) -> Result<()> {
        while self.raw.len() - self.at < want && !self.ended {
            self.raw.drain(..self.at);
            self.at = 0;
            let had = self.raw.len();
            self.raw.resize(had + LARGEST_BYTES, 0);
            let got = self.inner.read(&mut self.raw[had..])?;
            self.raw.truncate(had + got);
            self.ended = got == 0;
        }
        Ok(())
    }
}

impl Stream {
    fn take(&mut self, page: Page<'_>, out: &mut Vec<u8>) {
        if page.is_first() {
            let leave_alone = !self.seen_sound && !self.headers.is_empty();
            *self = Self::begin(page, leave_alone);
        } else if page.serial() != self.serial {
            self.leave_alone = true;
        } else if self.headers_left > 0 {
            self.headers_left = self.headers_left.saturating_sub(page.packets_ended());
            self.headers.extend_from_slice(page.bytes());
            self.leave_alone |= self.headers.len() > MOST_HEADER_BYTES;
        } else {
            self.hole |= self.seen_sound && page.sequence() != self.next_sequence;
            self.seen_sound = true;
            if std::mem::take(&mut self.hole) && !self.leave_alone {
                out.extend_from_slice(&self.headers);
                self.next_sequence = page.sequence().wrapping_add(1);
                // A first page that is the last as well would be taken for a whole stream.
                if page.is_last() {
                    out.extend(page.without_end());
                    return;
                }
            }
        }
        self.next_sequence = page.sequence().wrapping_add(1);
        out.extend_from_slice(page.bytes());
    }

    fn begin(page: Page<'_>, leave_alone: bool) -> Self {
        let headers = match page.body() {
            body if body.starts_with(b"OpusHead") => Some(2),
            body if body.starts_with(b"\x01vorbis") => Some(3),
            // FLAC counts its other headers, or says zero for "unknown".
            [0x7f, b'F', b'L', b'A', b'C', _, _, high, low, ..] => {
                Some(usize::from(u16::from_be_bytes([*high, *low])))
                    .filter(|others| *others > 0)
                    .map(|others| others + 1)
            }
            _ => None,
        };
        Self {
            serial: page.serial(),
            headers: page.bytes().to_vec(),
            headers_left: headers.unwrap_or(1) - 1,
            leave_alone: leave_alone || headers.is_none(),
            ..Self::default()
        }
    }
}

impl Read for Pages {
    fn read(&mut self, out: &mut [u8]) -> Result<usize> {
        if self.given == self.ready.len() && !self.advance()? {
            return Ok(0);
        }
        let rest = &self.ready[self.given..];
        let got = rest.len().min(out.len());
        out[..got].copy_from_slice(&rest[..got]);
        self.given += got;
        Ok(got)
    }
}

impl Seek for Pages {
    fn seek(&mut self, _to: SeekFrom) -> Result<u64> {
        Err(Error::other("pages come in their order only"))
    }
}

impl MediaSource for Pages {
    fn is_seekable(&self) -> bool {
        false
    }

    fn byte_len(&self) -> Option<u64> {
        None
    }
}
