//! What is being sent in: streamed to the disk and hashed on its way, never held in memory.

use super::fault::{Fault, Outcome};
use super::secrets;
use sha2::{Digest, Sha256};
use std::io::Read;
use std::path::{Path, PathBuf};
use tempfile::TempPath;
use tokio::io::AsyncWriteExt;

/// First letters of the names of files that go when their request does.
pub const PREFIX: &str = "new-";
/// Longest file name that is kept, in characters.
const LONGEST_NAME: usize = 120;
/// Bytes hashed at a time.
const STEP_BYTES: usize = 256 * 1024;

/// A file that grows. It is removed when this is dropped.
pub struct Arriving {
    path: TempPath,
    file: tokio::fs::File,
    hash: Sha256,
    bytes: u64,
    most: u64,
}

/// A file that is on the disk whole. It is removed when this is dropped.
pub struct Whole {
    /// Where.
    pub path: PathOf,
    /// Its digest.
    pub sha256: String,
    /// Its length.
    pub bytes: u64,
}

/// Who owns the file.
pub enum PathOf {
    /// The request.
    Request(TempPath),
    /// An upload in parts.
    Parts(PathBuf),
}

impl Whole {
    /// Where.
    #[must_use]
    pub fn path(&self) -> &Path {
        match &self.path {
            PathOf::Request(path) => path,
            PathOf::Parts(path) => path,
        }
    }
}

impl Arriving {
    /// A new one of at most so many bytes.
    ///
    /// # Errors
    /// The system gives no file.
    pub fn new(incoming: &Path, most: u64) -> Outcome<Self> {
        let file = (tempfile::Builder::new().prefix(PREFIX)).tempfile_in(incoming)?;
        let (file, path) = file.into_parts();
        Ok(Self {
            path,
            file: tokio::fs::File::from_std(file),
            hash: Sha256::new(),
            bytes: 0,
            most,
        })
    }

    /// How many have come so far.
    #[must_use]
    pub const fn bytes(&self) -> u64 {
        self.bytes
    }

    /// Adds bytes.
    ///
    /// # Errors
    /// They are too many, or the disk is full.
    pub async fn add(&mut self, bytes: &[u8]) -> Outcome<()> {
        self.bytes += bytes.len() as u64;
        if self.bytes > self.most {
            return Err(too_large(self.most));
        }
        self.hash.update(bytes);
        Ok(self.file.write_all(bytes).await?)
    }

    /// All is there: on the disk, not only in its cache.
    ///
    /// # Errors
    /// It is empty, or the disk fails.
    pub async fn finish(mut self) -> Outcome<Whole> {
        if self.bytes == 0 {
            return Err(empty());
        }
        self.file.flush().await?;
        self.file.sync_all().await?;
        Ok(Whole {
            path: PathOf::Request(self.path),
            sha256: secrets::hex(&self.hash.finalize()),
            bytes: self.bytes,
        })
    }
}

/// What has come in parts, hashed and put on the disk for good.
///
/// # Errors
/// It is empty, or cannot be read.
pub async fn from_parts(path: PathBuf) -> Outcome<Whole> {
    let hashed = tokio::task::spawn_blocking(move || -> std::io::Result<Whole> {
        let mut file = std::fs::File::open(&path)?;
        let (mut hash, mut bytes) = (Sha256::new(), 0);
        let mut step = vec![0; STEP_BYTES];
        loop {
            let got = file.read(&mut step)?;
            if got == 0 {
                break;
            }
            bytes += got as u64;
            hash.update(step.get(..got).unwrap_or_default());
        }
        file.sync_all()?;
        Ok(Whole {
            path: PathOf::Parts(path),
            sha256: secrets::hex(&hash.finalize()),
            bytes,
        })
    });
    let whole = hashed
        .await
        .map_err(|fault| Fault::Broken(fault.to_string()))??;
    if whole.bytes == 0 {
        return Err(empty());
    }
    Ok(whole)
}

/// The complaint about an empty file.
#[must_use]
pub fn empty() -> Fault {
    Fault::Bad(
        "the file is empty; record again, listen to it on your telephone, and send it".into(),
    )
}

/// The complaint about a file of more than `most` bytes.
#[must_use]
pub fn too_large(most: u64) -> Fault {
    Fault::TooLarge(format!(
        "the file is larger than {} MB; cut out the few minutes in which it happens",
        most / 1_000_000
    ))
}

/// The last part of a name that a sender's machine gave, without what does harm in lists; it is
/// shown, and asked for a date, and never used as a path.
#[must_use]
pub fn file_name(given: &str) -> String {
    let last = given.rsplit(['/', '\\']).next().unwrap_or_default();
    let hidden = |c: &char| {
        !c.is_control()
            && !matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    let kept: String = last.chars().filter(hidden).take(LONGEST_NAME).collect();
    match kept.trim() {
        "" | "." | ".." => "recording".into(),
        name => name.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_lose_their_folders_and_tricks() {
        for (given, kept) in [
            ("memo.m4a", "memo.m4a"),
            ("../../etc/passwd", "passwd"),
            ("..\\..\\boot.ini", "boot.ini"),
            ("..", "recording"),
            ("", "recording"),
            ("a\u{202e}4a.exe\0\n", "a4a.exe"),
            ("📻 günther.ogg", "📻 günther.ogg"),
        ] {
            assert_eq!(file_name(given), kept);
        }
        assert_eq!(file_name(&"ö".repeat(500)).chars().count(), LONGEST_NAME);
    }
}
