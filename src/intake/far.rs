//! Bytes that lie elsewhere, such as in an object store, and are read piece by piece: enough to
//! look at a header without fetching the whole.

use std::io::{Read, Result, Seek, SeekFrom};
use std::sync::Arc;
use symphonia::core::io::MediaSource;

/// Such bytes.
pub trait Far: Send + Sync {
    /// How many there are.
    fn bytes(&self) -> u64;

    /// Reads some of those from `at` on, as many as come at once; none only behind the last.
    ///
    /// # Errors
    /// They cannot be fetched.
    fn read_at(&self, at: u64, into: &mut [u8]) -> Result<usize>;
}

/// Reads them in order, from wherever it is sought to.
pub(super) struct Reader {
    far: Arc<dyn Far>,
    at: u64,
}

impl Reader {
    pub(super) const fn new(far: Arc<dyn Far>) -> Self {
        Self { far, at: 0 }
    }
}

impl Read for Reader {
    fn read(&mut self, into: &mut [u8]) -> Result<usize> {
        let got = self.far.read_at(self.at, into)?;
        self.at += got as u64;
        Ok(got)
    }
}

impl Seek for Reader {
    fn seek(&mut self, to: SeekFrom) -> Result<u64> {
        let (from, by) = match to {
            SeekFrom::Start(at) => (at, 0),
            SeekFrom::End(by) => (self.far.bytes(), by),
            SeekFrom::Current(by) => (self.at, by),
        };
        let before = || std::io::Error::from(std::io::ErrorKind::InvalidInput);
        self.at = from.checked_add_signed(by).ok_or_else(before)?;
        Ok(self.at)
    }
}

impl MediaSource for Reader {
    fn is_seekable(&self) -> bool {
        true
    }

    fn byte_len(&self) -> Option<u64> {
        Some(self.far.bytes())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Gives three bytes at most, as a slow store may.
    struct Slow(Vec<u8>);

    impl Far for Slow {
        fn bytes(&self) -> u64 {
            self.0.len() as u64
        }

        fn read_at(&self, at: u64, into: &mut [u8]) -> Result<usize> {
            let from = (at as usize).min(self.0.len());
            let some = into.len().min(3).min(self.0.len() - from);
            into[..some].copy_from_slice(&self.0[from..from + some]);
            Ok(some)
        }
    }

    #[test]
    fn it_reads_on_from_where_it_was_sought_to() {
        let mut reader = Reader::new(Arc::new(Slow((0..10).collect())));
        let mut four = [0; 4];
        reader.read_exact(&mut four).unwrap();
        assert_eq!(four, [0, 1, 2, 3]);
        assert_eq!(reader.seek(SeekFrom::Current(-2)).unwrap(), 2);
        reader.read_exact(&mut four).unwrap();
        assert_eq!(four, [2, 3, 4, 5]);
        assert_eq!(reader.seek(SeekFrom::End(-1)).unwrap(), 9);
        let mut rest = Vec::new();
        reader.read_to_end(&mut rest).unwrap();
        assert_eq!(rest, [9]);
        assert!(reader.seek(SeekFrom::Current(-20)).is_err());
        reader.seek(SeekFrom::Start(50)).unwrap();
        assert_eq!(reader.read(&mut four).unwrap(), 0);
    }
}
