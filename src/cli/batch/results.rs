//! `results.jsonl`: one line a recording, written as each is done, on the disk before the next is
//! begun. It is the result and the memory in one: a run that was cut short, by whatever, goes on
//! from its last whole line.

use super::find::Found;
use crate::cli::whole;
use crate::error::{Error, Result};
use crate::present::archive::BatchJson;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::fs::{File, OpenOptions};
use std::io::{BufRead, BufReader, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// The results.
pub const RESULTS: &str = "results.jsonl";
/// What each file looked like when its content was hashed, so that it need not be read again.
/// Nothing but time is lost with it.
const SEEN: &str = "seen.jsonl";

/// Results on disk, and where to find what in them.
pub struct Results {
    path: PathBuf,
    file: File,
    seen_file: File,
    end: u64,
    /// Where the newest line of each address stands, in the order of addresses.
    newest: BTreeMap<String, Known>,
    /// A line for each content heard with some settings.
    by_content: HashMap<(String, String), u64>,
    /// Lengths of files in the results: a file of another length cannot be among them.
    lengths: HashSet<u64>,
    seen: HashMap<String, Seen>,
}

#[derive(Debug, Clone)]
struct Known {
    at: u64,
    content: Option<String>,
    settings: String,
    site: String,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
struct Seen {
    address: String,
    bytes: u64,
    version: String,
    sha256: String,
}

/// The contents of several files as one key, in their order; `None` where one is not known.
fn content_key<'a>(hashes: impl Iterator<Item = Option<&'a str>>) -> Option<String> {
    let all: Option<Vec<&str>> = hashes.collect();
    all.map(|list| list.join("+"))
}

impl Results {
    /// Opens or begins the results in a folder. What a run that was killed left of a last line is
    /// taken off.
    ///
    /// # Errors
    /// The folder cannot be written, another run is at work in it, or the file holds something
    /// else than results.
    pub fn open(dir: &Path) -> Result<Self> {
        std::fs::create_dir_all(dir).map_err(|f| Error::io(dir.display().to_string(), f))?;
        let path = dir.join(RESULTS);
        let name = path.display().to_string();
        let failed = |fault| Error::io(&name, fault);
        let open = |path: &Path| {
            OpenOptions::new()
                .read(true)
                .write(true)
                .create(true)
                .truncate(false)
                .open(path)
        };
        let file = open(&path).map_err(failed)?;
        if let Err(fault) = file.try_lock() {
            return Err(match fault {
                std::fs::TryLockError::WouldBlock => Error::Limit {
                    what: format!("{}: another run is at work in this folder", dir.display()),
                    limit: "one at a time".into(),
                    remedy: "wait for it to end, or name another folder with --out".into(),
                },
                std::fs::TryLockError::Error(fault) => failed(fault),
            });
        }
        whole::clear_drafts(dir);
        let seen_path = dir.join(SEEN);
        let mut seen_file =
            open(&seen_path).map_err(|f| Error::io(seen_path.display().to_string(), f))?;
        let seen = read_seen(&mut seen_file);
        let mut results = Self {
            path,
            file,
            seen_file,
            end: 0,
            newest: BTreeMap::new(),
            by_content: HashMap::new(),
            lengths: HashSet::new(),
            seen,
        };
        results.read_back()?;
        Ok(results)
    }

    fn read_back(&mut self) -> Result<()> {
        let name = self.path.display().to_string();
        let mut lines = BufReader::new(&self.file);
        let mut known = Vec::new();
        let (mut at, mut number, mut text) = (0_u64, 0_usize, Vec::new());
        loop {
            text.clear();
            let got = lines
                .read_until(b'\n', &mut text)
                .map_err(|f| Error::io(&name, f))?;
            if got == 0 || text.last() != Some(&b'\n') {
                break;
            }
            number += 1;
            let line: BatchJson =
                serde_json::from_slice(&text).map_err(|fault| Error::BadFile {
                    file: format!("{name} line {number}"),
                    what: format!("this is no result of an archive ({fault})"),
                    remedy: "take the line out, or name another folder with --out".into(),
                })?;
            known.push((at, line));
            at += got as u64;
            // Lines are long; only where they stand is kept.
            for (at, line) in known.drain(..) {
                note(
                    &mut self.newest,
                    &mut self.by_content,
                    &mut self.lengths,
                    at,
                    &line,
                );
            }
        }
        self.end = at;
        self.file.set_len(at).map_err(|f| Error::io(&name, f))
    }

    /// How many recordings have a line.
    pub fn len(&self) -> usize {
        self.newest.len()
    }

    /// Whether these very files, as they lie there, were heard with these settings.
    pub fn has_unchanged(&self, files: &[Found], site: &str, settings: &str) -> bool {
        let Some(first) = files.first() else {
            return false;
        };
        let known = self.newest.get(&first.address);
        let Some(known) = known.filter(|k| k.settings == settings && k.site == site) else {
            return false;
        };
        let key = content_key(files.iter().map(|f| self.seen_hash(f)));
        key.is_some() && key == known.content
    }

    /// The hash of a file that looks as it did when it was hashed.
    pub fn seen_hash(&self, file: &Found) -> Option<&str> {
        let seen = self.seen.get(&file.address)?;
        let same = seen.bytes == file.bytes && seen.version == file.version;
        (same && !file.version.is_empty()).then_some(seen.sha256.as_str())
    }

    /// Whether a file of this length is in the results, so that hashing it may spare hearing it.
    pub fn may_know(&self, bytes: u64) -> bool {
        self.lengths.contains(&bytes)
    }

    /// The line of the same contents heard with the same settings.
    pub fn same_content(&mut self, hashes: &[String], settings: &str) -> Option<BatchJson> {
        let key = content_key(hashes.iter().map(|h| Some(h.as_str())))?;
        let at = *self.by_content.get(&(key, settings.to_owned()))?;
        self.line_at(at).ok()
    }

    /// Whether the newest line of this address has this content already.
    pub fn is_newest(&self, line: &BatchJson) -> bool {
        let content = content_key(line.files.iter().map(|f| f.sha256.as_deref()));
        self.newest.get(&line.address).is_some_and(|k| {
            content.is_some()
                && k.content == content
                && k.settings == line.settings
                && k.site == line.site
        })
    }

    fn line_at(&mut self, at: u64) -> Result<BatchJson> {
        let name = self.path.display().to_string();
        let failed = |fault| Error::io(&name, fault);
        self.file.seek(SeekFrom::Start(at)).map_err(failed)?;
        let mut text = Vec::new();
        BufReader::new(&self.file)
            .read_until(b'\n', &mut text)
            .map_err(failed)?;
        serde_json::from_slice(&text).map_err(|fault| failed(fault.into()))
    }

    /// Adds a line, and lets it reach the disk.
    ///
    /// # Errors
    /// It cannot be written; the results are then as they were before.
    pub fn add(&mut self, line: &BatchJson) -> Result<()> {
        let name = self.path.display().to_string();
        let text = line.line() + "\n";
        let write = |file: &mut File, end: u64| {
            file.seek(SeekFrom::Start(end))?;
            file.write_all(text.as_bytes())?;
            file.sync_data()
        };
        if let Err(fault) = write(&mut self.file, self.end) {
            // Half a line would be taken off at the next start; better now.
            let _ = self.file.set_len(self.end);
            return Err(Error::io(name, fault));
        }
        note(
            &mut self.newest,
            &mut self.by_content,
            &mut self.lengths,
            self.end,
            line,
        );
        self.end += text.len() as u64;
        Ok(())
    }

    /// Remembers what files looked like. Where that fails, they are hashed once more next time.
    pub fn saw(&mut self, files: &[Found], line: &BatchJson) {
        for (file, told) in files.iter().zip(&line.files) {
            let Some(sha256) = told.sha256.clone() else {
                continue;
            };
            let seen = Seen {
                address: file.address.clone(),
                bytes: file.bytes,
                version: file.version.clone(),
                sha256,
            };
            if let Ok(text) = serde_json::to_string(&seen) {
                let _ = self.seen_file.write_all((text + "\n").as_bytes());
            }
            self.seen.insert(file.address.clone(), seen);
        }
    }

    /// The newest line of every address, in the order of addresses, `most` at a time.
    ///
    /// # Errors
    /// The results cannot be read, or `take` fails.
    pub fn each(
        &mut self,
        most: usize,
        mut take: impl FnMut(usize, &[BatchJson]) -> Result<()>,
    ) -> Result<()> {
        let places: Vec<u64> = self.newest.values().map(|known| known.at).collect();
        for (n, places) in places.chunks(most.max(1)).enumerate() {
            let lines: Result<Vec<BatchJson>> = places.iter().map(|at| self.line_at(*at)).collect();
            take(n * most.max(1), &lines?)?;
        }
        Ok(())
    }
}

fn note(
    newest: &mut BTreeMap<String, Known>,
    by_content: &mut HashMap<(String, String), u64>,
    lengths: &mut HashSet<u64>,
    at: u64,
    line: &BatchJson,
) {
    let content = content_key(line.files.iter().map(|f| f.sha256.as_deref()));
    lengths.extend(line.files.iter().filter_map(|f| f.bytes));
    if let Some(content) = &content {
        by_content.insert((content.clone(), line.settings.clone()), at);
    }
    // Files that are heard with others now have no line of their own any more.
    let inside: BTreeSet<&str> = line.files.iter().map(|f| f.address.as_str()).collect();
    for address in inside {
        if address != line.address {
            newest.remove(address);
        }
    }
    newest.insert(
        line.address.clone(),
        Known {
            at,
            content,
            settings: line.settings.clone(),
            site: line.site.clone(),
        },
    );
}

/// Whole lines only; anything else is as good as not seen.
fn read_seen(file: &mut File) -> HashMap<String, Seen> {
    let mut text = String::new();
    let mut map = HashMap::new();
    if file.read_to_string(&mut text).is_err() {
        return map;
    }
    let whole = text.rfind('\n').map_or(0, |at| at + 1);
    for line in text[..whole].lines() {
        if let Ok(seen) = serde_json::from_str::<Seen>(line) {
            map.insert(seen.address.clone(), seen);
        }
    }
    if file.set_len(whole as u64).is_ok() {
        let _ = file.seek(SeekFrom::Start(whole as u64));
    }
    map
}
