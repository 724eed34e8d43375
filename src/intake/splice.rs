//! A source that shows bytes of our own in front of a stretch of another source.

use std::io::{Error, Read, Result, Seek, SeekFrom};
use symphonia::core::io::MediaSource;

/// `head`, then `length` bytes of `body` from `from` on.
pub(super) struct Splice {
    head: Vec<u8>,
    body: Box<dyn MediaSource>,
    from: u64,
    length: u64,
    at: u64,
}

impl Splice {
    /// Positions `body` at its stretch.
    pub fn new(
        head: Vec<u8>,
        mut body: Box<dyn MediaSource>,
        from: u64,
        length: u64,
    ) -> Result<Self> {
        body.seek(SeekFrom::Start(from))?;
        Ok(Self {
            head,
            body,
            from,
            length,
            at: 0,
        })
    }

    fn end(&self) -> u64 {
        self.head.len() as u64 + self.length
    }
}

impl Read for Splice {
    fn read(&mut self, out: &mut [u8]) -> Result<usize> {
        let got = if let Some(rest) = self.head.get(self.at as usize..).filter(|r| !r.is_empty()) {
            let got = rest.len().min(out.len());
            out[..got].copy_from_slice(&rest[..got]);
            got
        } else {
            let left = self.end().saturating_sub(self.at);
            let most = out.len().min(usize::try_from(left).unwrap_or(usize::MAX));
            self.body.read(&mut out[..most])?
        };
        self.at += got as u64;
        Ok(got)
    }
}

impl Seek for Splice {
    fn seek(&mut self, to: SeekFrom) -> Result<u64> {
        let target = match to {
            SeekFrom::Start(at) => Some(at),
            SeekFrom::Current(by) => self.at.checked_add_signed(by),
            SeekFrom::End(by) => self.end().checked_add_signed(by),
        };
        self.at = target.ok_or_else(|| Error::other("seek before the start"))?;
        let into = self
            .at
            .saturating_sub(self.head.len() as u64)
            .min(self.length);
        self.body.seek(SeekFrom::Start(self.from + into))?;
        Ok(self.at)
    }
}

impl MediaSource for Splice {
    fn is_seekable(&self) -> bool {
        true
    }

    fn byte_len(&self) -> Option<u64> {
        Some(self.end())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn splice() -> Splice {
        let body = Cursor::new(b"0123456789".to_vec());
        Splice::new(b"ab".to_vec(), Box::new(body), 3, 4).expect("splice")
    }

    #[test]
    fn the_head_stands_before_the_stretch_and_nothing_after_it() {
        let mut all = Vec::new();
        splice().read_to_end(&mut all).expect("read");
        assert_eq!(all, b"ab3456");
    }

    #[test]
    fn seeking_lands_in_either_part() {
        let mut splice = splice();
        for (to, rest) in [(1, &b"b3456"[..]), (3, b"456"), (6, b""), (99, b"")] {
            let mut tail = Vec::new();
            splice.seek(SeekFrom::Start(to)).expect("seek");
            splice.read_to_end(&mut tail).expect("read");
            assert_eq!(tail, rest, "from {to}");
        }
    }
}
