//! Where the bytes come from: a file, or a stream that was spooled. Both can be opened again
//! from their start, so a look ahead needs no buffer of samples.

use super::digest::Digest;
use super::far::{Far, Reader};
use super::reached::{Reached, Watched};
use crate::error::{Error, Result};
use crate::tuning::intake::SPOOL_IN_MEMORY_BYTES;
use std::fs::File;
use std::io::{Cursor, Read, Seek, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use symphonia::core::io::MediaSource;

/// Bytes that can be read and sought, opened once more at every call.
#[derive(Clone)]
pub(super) struct Source {
    /// Name shown to the user, without its folder.
    pub name: String,
    /// Name as given, for errors.
    pub given: String,
    /// Length in bytes.
    pub len: u64,
    store: Arc<Store>,
    /// Set where it is of interest how far the readers come.
    reached: Option<Reached>,
}

enum Store {
    OnDisk(PathBuf),
    InMemory(Arc<[u8]>),
    Spooled(tempfile::NamedTempFile),
    Far(Arc<dyn Far>),
}

impl Source {
    /// A file on disk, with its digest under way. Pipes and devices are spooled first.
    pub fn from_path(path: &Path) -> Result<(Self, Digest)> {
        let given = path.display().to_string();
        let file = File::open(path).map_err(|source| Error::io(&given, source))?;
        let facts = file
            .metadata()
            .map_err(|source| Error::io(&given, source))?;
        if facts.is_dir() {
            return Err(Error::BadFile {
                file: given,
                what: "this is a folder, not a recording".into(),
                remedy: "name a file in it, or use --clips for a folder of a voice-activated \
                         recorder's clips"
                    .into(),
            });
        }
        if !facts.is_file() {
            let name = short_name(path);
            return Self::from_stream(&name, &given, Box::new(file));
        }
        let digest = Digest::of_file(file);
        Ok((Self::on_disk(path)?, digest))
    }

    /// A regular file on disk, without a digest.
    pub fn on_disk(path: &Path) -> Result<Self> {
        let given = path.display().to_string();
        let name = short_name(path);
        let facts = std::fs::metadata(path).map_err(|source| Error::io(&given, source))?;
        Ok(Self {
            name,
            given,
            len: facts.len(),
            store: Arc::new(Store::OnDisk(path.to_owned())),
            reached: None,
        })
    }

    /// Bytes that lie elsewhere, without a digest.
    pub fn far(name: &str, given: &str, far: Arc<dyn Far>) -> Self {
        Self {
            name: name.to_owned(),
            given: given.to_owned(),
            len: far.bytes(),
            store: Arc::new(Store::Far(far)),
            reached: None,
        }
    }

    /// Takes a stream to its end: into memory while it is short, then into a temporary file.
    pub fn from_stream(
        name: &str,
        given: &str,
        mut stream: Box<dyn Read + Send>,
    ) -> Result<(Self, Digest)> {
        let failed = |source| Error::io(given, source);
        let mut hash = super::digest::Running::default();
        let mut head = Vec::new();
        let mut spool: Option<tempfile::NamedTempFile> = None;
        let mut step = vec![0; crate::tuning::intake::HASH_STEP_BYTES];
        let mut len = 0_u64;
        loop {
            let got = match stream.read(&mut step) {
                Ok(0) => break,
                Ok(got) => got,
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(failed(error)),
            };
            len += got as u64;
            hash.add(&step[..got]);
            if spool.is_none() && head.len() + got > SPOOL_IN_MEMORY_BYTES {
                let mut file = tempfile::NamedTempFile::new().map_err(failed)?;
                file.write_all(&head).map_err(failed)?;
                head = Vec::new();
                spool = Some(file);
            }
            match &mut spool {
                Some(file) => file.write_all(&step[..got]).map_err(failed)?,
                None => head.extend_from_slice(&step[..got]),
            }
        }
        let store = match spool {
            Some(mut file) => {
                file.flush().map_err(failed)?;
                Store::Spooled(file)
            }
            None => Store::InMemory(head.into()),
        };
        let source = Self {
            name: name.to_owned(),
            given: given.to_owned(),
            len,
            store: Arc::new(store),
            reached: None,
        };
        Ok((source, Digest::known(hash)))
    }

    /// The same source, whose readers tell how far they are.
    pub fn watched(&self) -> (Self, Reached) {
        let reached = Reached::default();
        let watched = Self {
            reached: Some(reached.clone()),
            ..self.clone()
        };
        (watched, reached)
    }

    /// Opens the bytes at their start.
    pub fn open(&self) -> Result<Box<dyn MediaSource>> {
        let media = self.open_store()?;
        Ok(match &self.reached {
            Some(reached) => Box::new(Watched::new(media, reached.clone())),
            None => media,
        })
    }

    fn open_store(&self) -> Result<Box<dyn MediaSource>> {
        let failed = |source| Error::io(&self.given, source);
        Ok(match &*self.store {
            Store::OnDisk(path) => Box::new(File::open(path).map_err(failed)?),
            Store::InMemory(bytes) => Box::new(Cursor::new(Arc::clone(bytes))),
            Store::Spooled(file) => {
                let mut again = file.reopen().map_err(failed)?;
                again.rewind().map_err(failed)?;
                Box::new(again)
            }
            Store::Far(far) => Box::new(Reader::new(Arc::clone(far))),
        })
    }

    /// The first bytes, up to `most`.
    pub fn head(&self, most: usize) -> Result<Vec<u8>> {
        let mut head = Vec::with_capacity(most);
        self.open()?
            .take(most as u64)
            .read_to_end(&mut head)
            .map_err(|source| Error::io(&self.given, source))?;
        Ok(head)
    }
}

/// The name without its folder.
pub(super) fn short_name(path: &Path) -> String {
    let name = path.file_name().unwrap_or(path.as_os_str());
    name.to_string_lossy().into_owned()
}
