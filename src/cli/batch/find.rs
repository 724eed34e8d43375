//! What is to be heard: files below folders, files that fit a pattern, lists on standard input,
//! objects in a store.

use super::remote::Stores;
use crate::cli::source::STDIN;
use crate::error::{Error, Result};
use object_store::path::Path as ObjectPath;
use std::io::BufRead;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

/// Endings of sound files, those that are refused with a reason as well.
const ENDINGS: [&str; 29] = [
    "3gp", "aac", "aif", "aifc", "aiff", "amr", "au", "bwf", "caf", "flac", "gsm", "m4a", "m4b",
    "mka", "mkv", "mp3", "mp4", "oga", "ogg", "opus", "rf64", "snd", "spx", "w64", "wav", "wave",
    "weba", "webm", "wma",
];
/// Folders within folders are followed this deep: links may go round in a circle.
const DEEPEST: usize = 32;

/// One file.
#[derive(Debug, Clone)]
pub struct Found {
    /// Path or address, as results carry it.
    pub address: String,
    /// Where it was recorded.
    pub site: String,
    /// Where it lies.
    pub place: Place,
    /// Length.
    pub bytes: u64,
    /// What changes when it changes: its time, or the store's own mark.
    pub version: String,
}

/// Where a file lies.
#[derive(Debug, Clone)]
pub enum Place {
    /// On disk.
    Disk(PathBuf),
    /// In an object store: its root and its path.
    Store(String, ObjectPath),
}

impl Found {
    /// Name without folders.
    pub fn name(&self) -> &str {
        self.address.rsplit('/').next().unwrap_or(&self.address)
    }

    /// Everything before the name.
    pub fn folder(&self) -> &str {
        let end = self.address.len() - self.name().len();
        &self.address[..end]
    }
}

/// How a site is named.
#[derive(Debug, Clone)]
pub enum Naming {
    /// One name for all.
    Stated(String),
    /// The folder so many levels below what was named, counted from 1.
    Folder {
        /// The level.
        level: usize,
        /// Counted from here instead, where the path lies below it.
        below: Option<String>,
    },
}

impl Naming {
    /// The site of the file at `path` below `root`: the folder at its level; where the path has
    /// none, the folder that the file lies in.
    fn site(&self, root: &str, path: &str) -> String {
        let (level, root) = match self {
            Self::Stated(name) => return name.clone(),
            Self::Folder { level, below } => {
                let below = below.as_deref().filter(|b| path.starts_with(b));
                (*level, below.unwrap_or(root))
            }
        };
        let below = path.strip_prefix(root).unwrap_or(path);
        let folders = |text: &str| -> Vec<String> {
            let mut parts: Vec<String> = (text.split(['/', '\\']))
                .filter(|p| !p.is_empty() && *p != ".")
                .map(str::to_owned)
                .collect();
            parts.pop();
            parts
        };
        let named = folders(below).into_iter().nth(level.saturating_sub(1));
        named
            .or_else(|| folders(path).pop())
            .unwrap_or_else(|| "here".to_owned())
    }
}

/// What was found, and what was passed over or is missing.
#[derive(Debug, Default)]
pub struct Findings {
    /// In the order of addresses, each once.
    pub found: Vec<Found>,
    /// Named, but not there or not readable: address, site and reason.
    pub missing: Vec<(String, String, Error)>,
    /// Files in folders whose names are not those of sound files.
    pub passed_over: usize,
}

/// Looks everything up that was named.
///
/// # Errors
/// A pattern or an address makes no sense, or a store cannot be reached.
pub fn find(named: &[String], naming: &Naming, stores: &mut Stores) -> Result<Findings> {
    let mut findings = Findings::default();
    for name in named {
        if name == STDIN {
            for line in std::io::stdin().lock().lines() {
                let line = line.map_err(|fault| Error::io(STDIN, fault))?;
                let line = line.trim_end_matches('\r');
                if !line.is_empty() {
                    one(line, naming, stores, &mut findings)?;
                }
            }
        } else {
            one(name, naming, stores, &mut findings)?;
        }
    }
    findings.found.sort_by(|a, b| a.address.cmp(&b.address));
    findings.found.dedup_by(|a, b| a.address == b.address);
    Ok(findings)
}

fn one(name: &str, naming: &Naming, stores: &mut Stores, into: &mut Findings) -> Result<()> {
    if name.contains("://") {
        return stores.list(name, naming, into);
    }
    let path = Path::new(name);
    // A file may have a name that looks like a pattern.
    if path.exists() || !name.contains(['*', '?', '[']) {
        walk(path, name, naming, 0, into);
        return Ok(());
    }
    let options = glob::MatchOptions {
        // As with folders: hidden files are the system's.
        require_literal_leading_dot: true,
        ..glob::MatchOptions::default()
    };
    let paths = glob::glob_with(name, options).map_err(|fault| Error::BadSetting {
        place: name.into(),
        what: format!("this is no pattern: {}", fault.msg),
        remedy: "write * for any name, ** for any folders, ? for one character".into(),
    })?;
    let root = name.split(['*', '?', '[']).next().unwrap_or_default();
    let mut any = false;
    for path in paths {
        any = true;
        match path {
            Ok(path) => walk(&path, root, naming, 0, into),
            Err(fault) => {
                let path = fault.path().display().to_string();
                miss(into, &path, naming.site(root, &path), fault.into());
            }
        }
    }
    if any {
        Ok(())
    } else {
        Err(Error::BadSetting {
            place: name.into(),
            what: "nothing fits this pattern".into(),
            remedy: "try it with ls; put it in quotes to keep the shell's hands off it".into(),
        })
    }
}

/// Takes a file, or what lies below a folder. `depth` 0 is what was named itself.
fn walk(path: &Path, root: &str, naming: &Naming, depth: usize, into: &mut Findings) {
    let address = path.display().to_string();
    let site = || naming.site(root, &address);
    let facts = match std::fs::metadata(path) {
        Ok(facts) => facts,
        Err(fault) => return miss(into, &address, site(), fault),
    };
    if !facts.is_dir() {
        if depth > 0 && !sounding(&address) {
            into.passed_over += 1;
            return;
        }
        let since = |time: std::time::SystemTime| time.duration_since(UNIX_EPOCH).ok();
        let changed = facts.modified().ok().and_then(since);
        into.found.push(Found {
            site: site(),
            place: Place::Disk(path.to_owned()),
            bytes: facts.len(),
            version: changed.map_or_else(String::new, |t| t.as_nanos().to_string()),
            address,
        });
        return;
    }
    if depth > DEEPEST {
        return;
    }
    let entries = match std::fs::read_dir(path) {
        Ok(entries) => entries,
        Err(fault) => return miss(into, &address, site(), fault),
    };
    for entry in entries.flatten() {
        // Hidden files are the system's, not the recorder's.
        if !entry.file_name().to_string_lossy().starts_with('.') {
            walk(&entry.path(), root, naming, depth + 1, into);
        }
    }
}

fn miss(into: &mut Findings, address: &str, site: String, fault: std::io::Error) {
    let fault = Error::io(address, fault);
    into.missing.push((address.to_owned(), site, fault));
}

/// Whether a name ends like that of a sound file.
pub fn sounding(name: &str) -> bool {
    let ending = name.rsplit_once('.').map(|(_, e)| e.to_ascii_lowercase());
    ending.is_some_and(|e| ENDINGS.contains(&e.as_str()))
}

impl Stores {
    fn list(&mut self, address: &str, naming: &Naming, into: &mut Findings) -> Result<()> {
        for object in self.below(address)? {
            if object.address != address && !sounding(&object.address) {
                into.passed_over += 1;
                continue;
            }
            into.found.push(Found {
                site: naming.site(address, &object.address),
                place: Place::Store(object.root, object.path),
                bytes: object.bytes,
                version: object.version,
                address: object.address,
            });
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_site_is_the_folder_at_its_level_or_the_files_own() {
        let by = |level, root, path| Naming::Folder { level, below: None }.site(root, path);
        assert_eq!(by(1, "logs", "logs/hill/2026/03/a.wav"), "hill");
        assert_eq!(by(1, "logs/", "logs/hill/a.wav"), "hill");
        assert_eq!(by(2, "logs", "logs/2026/coast/a.wav"), "coast");
        assert_eq!(by(1, "hill", "hill/a.wav"), "hill");
        assert_eq!(by(1, "a.wav", "a.wav"), "here");
        assert_eq!(by(1, "/x/hill/a.wav", "/x/hill/a.wav"), "hill");
        assert_eq!(by(1, "s3://shop/logs", "s3://shop/logs/hill/a.wav"), "hill");
        let below = Some("/logs".to_owned());
        let listed = Naming::Folder { level: 1, below };
        let path = "/logs/hill/2026/a.wav";
        assert_eq!(listed.site(path, path), "hill");
        assert_eq!(Naming::Stated("QQ0TB".into()).site("", "a.wav"), "QQ0TB");
    }

    #[test]
    fn sound_files_are_known_by_their_ending() {
        assert!(sounding("a/B.WAV") && sounding("x.y.opus"));
        assert!(!sounding("notes.txt") && !sounding("wav") && !sounding("a.wav.part"));
    }
}
