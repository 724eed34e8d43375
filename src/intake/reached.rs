//! How far a source's bytes were read: all that tells of the progress where no length is stated.

use std::io::{Read, Result, Seek, SeekFrom};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use symphonia::core::io::MediaSource;

/// The place behind the last bytes that were read.
#[derive(Clone, Default)]
pub(super) struct Reached(Arc<AtomicU64>);

impl Reached {
    /// In bytes from the source's start.
    pub fn bytes(&self) -> u64 {
        self.0.load(Ordering::Relaxed)
    }
}

/// A reader that tells where it is. A look at the file's end and back leaves no mark: the last
/// reading counts.
pub(super) struct Watched {
    within: Box<dyn MediaSource>,
    at: u64,
    reached: Reached,
}

impl Watched {
    /// Stands at its start.
    pub fn new(within: Box<dyn MediaSource>, reached: Reached) -> Self {
        Self {
            within,
            at: 0,
            reached,
        }
    }
}

impl Read for Watched {
    fn read(&mut self, into: &mut [u8]) -> Result<usize> {
        let got = self.within.read(into)?;
        self.at += got as u64;
        self.reached.0.store(self.at, Ordering::Relaxed);
        Ok(got)
    }
}

impl Seek for Watched {
    fn seek(&mut self, to: SeekFrom) -> Result<u64> {
        self.at = self.within.seek(to)?;
        Ok(self.at)
    }
}

impl MediaSource for Watched {
    fn is_seekable(&self) -> bool {
        self.within.is_seekable()
    }

    fn byte_len(&self) -> Option<u64> {
        self.within.byte_len()
    }
}
