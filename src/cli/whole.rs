//! Files that are there whole or not at all, whenever the program is stopped.

use crate::error::{Error, Result};
use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::Path;
use tempfile::TempPath;

/// How the names of unfinished files begin.
const DRAFT: &str = ".tailbeat-";

/// A new file in a folder under a name of its own; it goes away unless its path is persisted.
///
/// # Errors
/// The folder cannot be written.
pub fn draft_in(folder: &Path) -> Result<(File, TempPath)> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(DRAFT);
    // Temporary files are private otherwise; the user's mask takes what it takes.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let made = builder.tempfile_in(folder);
    let made = made.map_err(|source| Error::io(folder.display().to_string(), source))?;
    Ok(made.into_parts())
}

/// Takes away what a program that was killed left unfinished in a folder. Nobody else may be writing
/// there.
pub fn clear_drafts(folder: &Path) {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return;
    };
    for entry in entries.flatten() {
        if entry.file_name().to_string_lossy().starts_with(DRAFT) {
            // What stays costs room only.
            let _ = std::fs::remove_file(entry.path());
        }
    }
}

/// Writes a file by `fill` under another name beside it, then gives it its own in one step.
///
/// # Errors
/// It cannot be written; then the old one, if there was one, stands as it was.
pub fn write_with<R>(
    path: &Path,
    fill: impl FnOnce(&mut BufWriter<File>) -> Result<R>,
) -> Result<R> {
    let failed = |source| Error::io(path.display().to_string(), source);
    let folder = match path.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    };
    let (file, draft) = draft_in(folder)?;
    let mut out = BufWriter::new(file);
    let made = fill(&mut out)?;
    let file = out
        .into_inner()
        .map_err(|fault| failed(fault.into_error()))?;
    file.sync_data().map_err(failed)?;
    draft.persist(path).map_err(|fault| failed(fault.error))?;
    Ok(made)
}

/// Writes these bytes.
///
/// # Errors
/// As [`write_with`].
pub fn write(path: &Path, bytes: &[u8]) -> Result<()> {
    write_with(path, |out| {
        out.write_all(bytes)
            .map_err(|source| Error::io(path.display().to_string(), source))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_on_the_way_leaves_the_old_file_and_nothing_beside_it() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("summary.html");
        write(&path, b"old").unwrap();
        let fault = write_with(&path, |out| {
            out.write_all(b"half of the n").unwrap();
            Err::<(), _>(Error::io("x", std::io::Error::other("stopped")))
        });
        assert!(fault.is_err());
        assert_eq!(std::fs::read(&path).unwrap(), b"old");
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1);
        write(&path, b"new").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"new");
    }
}
