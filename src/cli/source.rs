//! Where a recording comes from, and how to read it once more.

use crate::error::{Error, Result};
use crate::intake;
use crate::intake::recording::Recording;
use std::io::{Seek, SeekFrom};
use std::path::{Path, PathBuf};

/// One thing to check.
#[derive(Debug)]
pub enum Source {
    /// A file on disk.
    File(PathBuf),
    /// Clips of a voice-activated recorder, or folders of them, that make one recording.
    Clips(Vec<PathBuf>),
    /// Standard input, kept in a file without a name once it has been taken in.
    Stdin(std::sync::Mutex<Option<std::fs::File>>),
}

/// What stands for standard input on the command line and in results.
pub const STDIN: &str = "-";

impl Source {
    /// As named on the command line.
    pub fn named(name: &Path) -> Self {
        if name.as_os_str() == STDIN {
            Self::Stdin(std::sync::Mutex::new(None))
        } else {
            Self::File(name.into())
        }
    }

    /// Name without folders, as results carry it.
    pub fn name(&self) -> String {
        match self {
            Self::File(path) => path
                .file_name()
                .unwrap_or(path.as_os_str())
                .to_string_lossy()
                .into_owned(),
            Self::Clips(_) => "clips".into(),
            Self::Stdin(_) => STDIN.into(),
        }
    }

    /// Opens it; a second time gives the same once more.
    ///
    /// # Errors
    /// It cannot be opened, or is no recording.
    pub fn open(&self) -> Result<Box<dyn Recording>> {
        match self {
            Self::File(path) => intake::open(path),
            Self::Clips(paths) => intake::open_clips(paths),
            Self::Stdin(_) => intake::open_stream(STDIN, Box::new(self.stdin()?)),
        }
    }

    /// Bytes of the file, up to `most`; `None` where it is longer, or is not one file.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn bytes(&self, most: u64) -> Result<Option<Vec<u8>>> {
        let name = self.name();
        let io = |fault| Error::io(&name, fault);
        let mut file = match self {
            Self::File(path) => std::fs::File::open(path).map_err(io)?,
            Self::Clips(_) => return Ok(None),
            Self::Stdin(_) => self.stdin()?,
        };
        if file.metadata().map_err(io)?.len() > most {
            return Ok(None);
        }
        let mut bytes = Vec::new();
        std::io::Read::read_to_end(&mut file, &mut bytes).map_err(io)?;
        Ok(Some(bytes))
    }

    /// Standard input from its beginning. The first call takes it in.
    pub fn stdin(&self) -> Result<std::fs::File> {
        let Self::Stdin(kept) = self else {
            let fault = std::io::Error::other("not standard input");
            return Err(Error::io(self.name(), fault));
        };
        let io = |fault| Error::io(STDIN, fault);
        let mut kept = kept
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        if kept.is_none() {
            let mut file = tempfile::tempfile().map_err(io)?;
            std::io::copy(&mut std::io::stdin().lock(), &mut file).map_err(io)?;
            *kept = Some(file);
        }
        let mut file = match kept.as_ref() {
            Some(file) => file.try_clone().map_err(io)?,
            None => return Err(io(std::io::Error::other("not kept"))),
        };
        file.seek(SeekFrom::Start(0)).map_err(io)?;
        Ok(file)
    }
}
