//! One piece of work: a file, or a run of rotated files, to its line.

use super::find::{Found, Place};
use super::remote::Stores;
use crate::archive::coverage;
use crate::check::{Check, CheckOptions, Share, check_recording};
use crate::error::{Error, Result};
use crate::intake::recording::Recording;
use crate::intake::{self, FileFacts};
use crate::present::archive::{BatchFormat, BatchJson, CoverageJson, FileJson};
use crate::present::json::{CheckJson, ErrorJson};
use object_store::path::Path as ObjectPath;
use sha2::{Digest, Sha256};
use std::fs::File;
use std::io::{Read, Seek, SeekFrom, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tempfile::TempDir;

/// Bytes hashed at a time.
const STEP: usize = 1 << 16;

/// Files that make one recording.
#[derive(Debug, Clone)]
pub struct Job {
    /// In the order of time; never empty.
    pub files: Vec<Found>,
}

impl Job {
    /// Bytes in all.
    pub fn bytes(&self) -> u64 {
        self.files.iter().map(|f| f.bytes).sum()
    }
}

/// What every piece of work needs.
pub struct Tools<'a> {
    /// Object stores.
    pub stores: &'a Stores,
    /// What the user knows.
    pub known: CheckOptions,
    /// Digest of version and settings.
    pub settings: &'a str,
}

/// Digests of the files' contents.
///
/// # Errors
/// One cannot be read.
pub fn hashes(job: &Job) -> Result<Vec<Option<String>>> {
    (job.files.iter())
        .map(|found| match &found.place {
            Place::Disk(path) => {
                let failed = |fault| Error::io(&found.address, fault);
                digest(&mut File::open(path).map_err(failed)?)
                    .map(Some)
                    .map_err(failed)
            }
            Place::Store(..) => Ok(None),
        })
        .collect()
}

fn digest(file: &mut File) -> std::io::Result<String> {
    let mut hash = Sha256::new();
    let mut step = vec![0; STEP];
    loop {
        match file.read(&mut step) {
            Ok(0) => break,
            Ok(got) => hash.update(&step[..got]),
            Err(fault) if fault.kind() == std::io::ErrorKind::Interrupted => {}
            Err(fault) => return Err(fault),
        }
    }
    Ok(hex(hash))
}

fn hex(hash: Sha256) -> String {
    hash.finalize().iter().map(|b| format!("{b:02x}")).collect()
}

/// Hears a recording. Whatever goes wrong, a fault of this program included, ends in a line.
pub fn hear(
    job: &Job,
    tools: &Tools,
    hashes: &[Option<String>],
    progress: &mut dyn FnMut(Share),
) -> BatchJson {
    let mut hashes = hashes.to_vec();
    hashes.resize(job.files.len(), None);
    let heard = catch_unwind(AssertUnwindSafe(|| {
        let opened = open(job, tools, &mut hashes)?;
        check_recording(opened.recording, &tools.known, progress)
    }));
    let heard = heard.unwrap_or_else(|_| {
        Err(Error::Limit {
            what: format!("{}: this program stumbled over it", address(job)),
            limit: "none that is known".into(),
            remedy: "report this as a fault, with the file".into(),
        })
    });
    match (&heard, &mut hashes[..]) {
        (Ok(check), [hash @ None]) => *hash = Some(check.recording.sha256.clone()),
        // What is heard as one tells no digest of each. A bad file need not be tried again while
        // it stays as it is; one that cannot be read at all has no digest, and is.
        (_, hashes_now) if hashes_now.iter().any(Option::is_none) => {
            hashes = self::hashes(job).unwrap_or(hashes);
        }
        _ => {}
    }
    line(job, tools.settings, &hashes, heard)
}

fn address(job: &Job) -> &str {
    job.files.first().map_or("", |f| f.address.as_str())
}

/// A recording, and the folder that what was fetched of it lies in, as long as it is needed.
struct Opened {
    recording: Box<dyn Recording>,
    _fetched: Option<TempDir>,
}

fn open(job: &Job, tools: &Tools, hashes: &mut [Option<String>]) -> Result<Opened> {
    let near = |recording| Opened {
        recording,
        _fetched: None,
    };
    if let ([found], [hash]) = (&job.files[..], &mut *hashes) {
        return match &found.place {
            Place::Disk(path) => intake::open(path).map(near),
            Place::Store(root, path) => {
                let failed = |fault| Error::io(&found.address, fault);
                let mut file = tempfile::tempfile().map_err(failed)?;
                *hash = Some(fetch(found, root, path, tools, &mut file)?);
                file.seek(SeekFrom::Start(0)).map_err(failed)?;
                intake::open_stream(found.name(), Box::new(file)).map(near)
            }
        };
    }
    // Only files of one folder are joined, so their names tell them apart; and the names tell when
    // each began.
    let mut dir = None;
    let mut paths: Vec<PathBuf> = Vec::new();
    for (found, hash) in job.files.iter().zip(hashes) {
        let failed = |fault| Error::io(&found.address, fault);
        match &found.place {
            Place::Disk(path) => paths.push(path.clone()),
            Place::Store(root, path) => {
                let dir = match &mut dir {
                    Some(dir) => dir,
                    none => none.insert(tempfile::tempdir().map_err(failed)?),
                };
                let copy = dir.path().join(found.name());
                let mut file = File::create_new(&copy).map_err(failed)?;
                *hash = Some(fetch(found, root, path, tools, &mut file)?);
                paths.push(copy);
            }
        }
    }
    let address = |path: &Path| {
        let place = paths.iter().position(|p| p == path);
        let found = place.and_then(|n| job.files.get(n));
        found.map_or_else(|| path.display().to_string(), |f| f.address.clone())
    };
    Ok(Opened {
        recording: intake::open_clips_as(&paths, &address)?,
        _fetched: dir,
    })
}

/// Fetches an object; its digest.
fn fetch(
    found: &Found,
    root: &str,
    path: &ObjectPath,
    tools: &Tools,
    file: &mut File,
) -> Result<String> {
    let mut hashed = Hashed {
        out: file,
        hash: Sha256::new(),
    };
    tools
        .stores
        .fetch(root, path, &found.address, &mut hashed)?;
    Ok(hex(hashed.hash))
}

/// Hashes what is written through it.
struct Hashed<'a> {
    out: &'a mut File,
    hash: Sha256,
}

impl Write for Hashed<'_> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let wrote = self.out.write(bytes)?;
        self.hash.update(&bytes[..wrote]);
        Ok(wrote)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.out.flush()
    }
}

fn line(job: &Job, settings: &str, hashes: &[Option<String>], heard: Result<Check>) -> BatchJson {
    let files = (job.files.iter().zip(hashes))
        .map(|(found, sha256)| FileJson {
            address: found.address.clone(),
            bytes: Some(found.bytes),
            sha256: sha256.clone(),
        })
        .collect();
    let site = job.files.first().map_or("", |f| f.site.as_str());
    let mut line = failed_line(site, address(job), settings, files);
    match heard {
        Ok(check) => {
            line.coverage = coverage::of(&check).into();
            line.check = Some(CheckJson::from(&check));
        }
        Err(fault) => line.error = Some(ErrorJson::new(address(job), &fault).error),
    }
    line
}

/// The line of something that was named and is not there.
pub fn missing(address: &str, site: &str, settings: &str, fault: &Error) -> BatchJson {
    let file = FileJson {
        address: address.to_owned(),
        bytes: None,
        sha256: None,
    };
    let mut line = failed_line(site, address, settings, vec![file]);
    line.error = Some(ErrorJson::new(address, fault).error);
    line
}

fn failed_line(site: &str, address: &str, settings: &str, files: Vec<FileJson>) -> BatchJson {
    BatchJson {
        schema: BatchFormat::V1,
        site: site.to_owned(),
        address: address.to_owned(),
        files,
        settings: settings.to_owned(),
        coverage: CoverageJson::unreadable(),
        check: None,
        error: None,
    }
}

/// The line of a content that was heard before, for another place of it: another name may tell of
/// another time.
pub fn again(job: &Job, hashes: &[String], mut known: BatchJson, stores: &Stores) -> BatchJson {
    let Some(first) = job.files.first() else {
        return known;
    };
    known.site = first.site.clone();
    known.address = first.address.clone();
    if let Some(check) = &mut known.check {
        check.recording.name = first.name().to_owned();
        if let Ok(facts) = facts(first, stores) {
            check.recording.started_at = facts.started_at;
        }
    }
    for (file, (found, hash)) in known.files.iter_mut().zip(job.files.iter().zip(hashes)) {
        file.address = found.address.clone();
        file.sha256 = Some(hash.clone());
    }
    known
}

/// What a file's header and name tell. Of an object in a store no more is fetched than its header.
///
/// # Errors
/// It cannot be read.
pub fn facts(file: &Found, stores: &Stores) -> Result<FileFacts> {
    match &file.place {
        Place::Disk(path) => intake::facts(path),
        Place::Store(root, path) => stores
            .far(root, path, file.bytes)
            .and_then(|far| intake::facts_far(file.name(), &file.address, Arc::new(far))),
    }
}
