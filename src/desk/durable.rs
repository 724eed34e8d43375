//! Names on the disk for good: a file whose bytes are synced is lost all the same while its name
//! stands in the folder's cache only.

use std::fs::File;
use std::io::{ErrorKind, Result};
use std::path::Path;

/// Puts the names within a folder onto the disk.
///
/// # Errors
/// The system fails.
pub fn sync_names(folder: &Path) -> Result<()> {
    File::open(folder)?.sync_all()
}

/// Puts a folder's own name onto the disk. The folder above may be one that the desk may pass
/// through and not look into: then its keeper has made the name, and long ago.
///
/// # Errors
/// The system fails.
pub fn sync_name_of(folder: &Path) -> Result<()> {
    let folder = folder.canonicalize()?;
    match folder.parent().map(sync_names) {
        Some(Err(fault)) if fault.kind() == ErrorKind::PermissionDenied => Ok(()),
        done => done.unwrap_or(Ok(())),
    }
}
