//! Files to exhibits: recordings are heard, saved results read.

use super::{as_named, sha256};
use crate::check::{CheckOptions, Share, check_recording};
use crate::cli::in_order::in_order;
use crate::cli::progress::Progress;
use crate::cli::source::{STDIN, Source};
use crate::compare::{Content, Exhibit, Heard};
use crate::error::{Error, Result};
use crate::present::compare::{looks_saved, read};
use std::io::Read;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

/// Both sets.
pub type Sets = (Vec<Exhibit>, Vec<Exhibit>);

/// Bytes that tell a saved result from a recording.
const FIRST_BYTES: u64 = 64;
/// Largest saved result: a day of drops takes a few megabytes.
const MOST_BYTES: u64 = 256_000_000;

/// Reads both sets.
///
/// # Errors
/// The first file, in order, that cannot be read.
pub fn read_sets(before: &[PathBuf], after: &[PathBuf]) -> Result<Sets> {
    let named = |path: &PathBuf| (path.clone(), as_named(path));
    let files: Vec<(PathBuf, String)> = before.iter().chain(after).map(named).collect();
    let mut all = read_all(&files)?;
    let after = all.split_off(before.len());
    Ok((all, after))
}

/// Reads files, each with the name that it gets in the result.
///
/// # Errors
/// As [`read_sets`].
pub fn read_all(files: &[(PathBuf, String)]) -> Result<Vec<Exhibit>> {
    if let Some((_, name)) = files.iter().find(|(_, name)| name == STDIN) {
        return Err(Error::BadSetting {
            place: name.clone(),
            what: "standard input leaves no file to verify later".into(),
            remedy: "save it, and name the file".into(),
        });
    }
    let progress = Progress::new(files.len());
    let (mut exhibits, mut failed) = (Vec::new(), None);
    let worked = in_order(
        files,
        0,
        |(path, name)| one(path, name, &progress),
        |_, result| match result {
            Ok(exhibit) => {
                exhibits.push(exhibit);
                ControlFlow::Continue(())
            }
            Err(fault) => {
                failed = Some(fault);
                ControlFlow::Break(())
            }
        },
    );
    progress.finish();
    worked.map_err(|fault| Error::io("threads", std::io::Error::other(fault)))?;
    failed.map_or(Ok(exhibits), Err)
}

fn one(path: &Path, name: &str, progress: &Progress) -> Result<Exhibit> {
    let mut share = progress.one();
    let read = match saved(path)? {
        Some(bytes) => from_saved(path, name, bytes),
        None => from_recording(path, name, &mut share),
    };
    share(Share::ALL);
    read
}

/// The whole file, where it is a saved result.
fn saved(path: &Path) -> Result<Option<Vec<u8>>> {
    let shown = || path.display().to_string();
    let io = |fault| Error::io(shown(), fault);
    let mut file = std::fs::File::open(path).map_err(io)?;
    let mut bytes = Vec::new();
    if file.metadata().map_err(io)?.is_dir() {
        return Err(Error::BadFile {
            file: shown(),
            what: "this is a folder".into(),
            remedy: "name the recordings in it".into(),
        });
    }
    (&mut file)
        .take(FIRST_BYTES)
        .read_to_end(&mut bytes)
        .map_err(io)?;
    if !looks_saved(&bytes) {
        return Ok(None);
    }
    (&mut file)
        .take(MOST_BYTES)
        .read_to_end(&mut bytes)
        .map_err(io)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(Error::Limit {
            what: format!("{}: the saved result is too large", shown()),
            limit: format!("{} MB", MOST_BYTES / 1_000_000),
            remedy: "save the results of fewer recordings".into(),
        });
    }
    Ok(Some(bytes))
}

fn from_saved(path: &Path, name: &str, bytes: Vec<u8>) -> Result<Exhibit> {
    let digest = sha256(&bytes);
    let shown = path.display().to_string();
    let text = String::from_utf8(bytes).map_err(|_| Error::BadFile {
        file: shown.clone(),
        what: "this is no text in UTF-8".into(),
        remedy: "save the result once more".into(),
    })?;
    Ok(Exhibit {
        file: name.into(),
        sha256: digest,
        content: read(&shown, &text)?,
    })
}

fn from_recording(path: &Path, name: &str, share: &mut dyn FnMut(Share)) -> Result<Exhibit> {
    let recording = Source::named(path).open()?;
    let check = check_recording(recording, &CheckOptions::default(), share)?;
    Ok(Exhibit {
        file: name.into(),
        sha256: check.recording.sha256.clone(),
        content: vec![Content::Recording(Heard::from(&check))],
    })
}
