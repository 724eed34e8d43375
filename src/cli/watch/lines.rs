//! A file of lines that holds whole lines only: what a full disk or a killed run leaves of one is
//! taken off again before the next.

use crate::cli::console::complain;
use crate::error::{Error, Result};
use crate::present::live::WatchJson;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// So much of a file's end is looked at for a line's begin; a line takes some hundred bytes.
const LONGEST_LINE_BYTES: u64 = 1 << 16;

/// The file. Pipes and devices are taken too; of those nothing can be taken back.
pub struct Lines {
    path: PathBuf,
    file: File,
    regular: bool,
    /// Part of a line was written and could not be taken off yet.
    torn: bool,
}

impl Lines {
    /// Opens a log at its end, behind whole lines.
    ///
    /// # Errors
    /// It cannot be opened, another watch writes it, or its end is that of some other file.
    pub fn open(path: &Path) -> Result<Self> {
        let name = path.display().to_string();
        let failed = |fault| Error::io(&name, fault);
        let regular = std::fs::metadata(path).map_or(true, |facts| facts.is_file());
        let mut options = OpenOptions::new();
        // A pipe that is opened to be read, too, never tells that its reader is gone.
        options.append(true).read(regular).create(true);
        let file = options.open(path).map_err(failed)?;
        if regular && matches!(file.try_lock(), Err(TryLockError::WouldBlock)) {
            return Err(Error::Limit {
                what: format!("{name}: another watch writes this log"),
                limit: "one at a time".into(),
                remedy: "wait for it to end, or name another file with --log".into(),
            });
        }
        let mut lines = Self {
            path: path.to_owned(),
            file,
            regular,
            torn: false,
        };
        if regular {
            lines.end_whole()?;
        }
        Ok(lines)
    }

    /// The file's name.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Adds a line, and lets it reach the disk.
    ///
    /// # Errors
    /// It cannot be written; the file is then as it was before.
    pub fn put(&mut self, line: &str) -> std::io::Result<()> {
        if self.torn {
            let (from, _) = self.last_part()?;
            self.file.set_len(from)?;
            self.torn = false;
        }
        // Asked anew each time: who rotates logs may have emptied it.
        let before = self.file.metadata()?.len();
        let written = (self.file.write_all(format!("{line}\n").as_bytes()))
            .and_then(|()| harmless(self.file.sync_data()));
        if written.is_err() && self.regular {
            self.torn = self.file.set_len(before).is_err();
        }
        written
    }

    /// Where what follows the last line feed begins, and what it is.
    fn last_part(&mut self) -> std::io::Result<(u64, Vec<u8>)> {
        let length = self.file.metadata()?.len();
        let from = length.saturating_sub(LONGEST_LINE_BYTES);
        self.file.seek(SeekFrom::Start(from))?;
        let mut end = Vec::new();
        self.file.read_to_end(&mut end)?;
        let feed = end.iter().rposition(|b| *b == b'\n');
        let begin = feed.map_or(0, |at| at + 1);
        Ok((from + begin as u64, end.split_off(begin)))
    }

    /// Mends a last line that a run before did not finish.
    fn end_whole(&mut self) -> Result<()> {
        let name = self.path.display().to_string();
        let failed = |fault| Error::io(&name, fault);
        let (from, part) = self.last_part().map_err(failed)?;
        if part.is_empty() {
            return Ok(());
        }
        if serde_json::from_slice::<WatchJson>(&part).is_ok() {
            return self.file.write_all(b"\n").map_err(failed);
        }
        if !half_of_ours(&part) {
            return Err(Error::BadFile {
                file: name,
                what: "its last line has no end, and is none of a watch's log".into(),
                remedy: "name another file with --log, or end that line".into(),
            });
        }
        self.file.set_len(from).map_err(failed)?;
        complain(&format!(
            "{name}: half a line at its end, left by a run that was cut short, is taken off"
        ));
        Ok(())
    }
}

/// Whether this is the begin of a line of ours. A power cut may leave zeros instead.
fn half_of_ours(part: &[u8]) -> bool {
    let zeros = part.iter().rev().take_while(|b| **b == 0).count();
    let told = &part[..part.len() - zeros];
    told.starts_with(WatchJson::BEGIN) || WatchJson::BEGIN.starts_with(told)
}

/// Pipes and devices cannot be told to reach a disk.
fn harmless(synced: std::io::Result<()>) -> std::io::Result<()> {
    synced.or_else(|fault| match fault.kind() {
        ErrorKind::InvalidInput => Ok(()),
        _ => Err(fault),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::present::live::WatchEvent;

    fn line() -> String {
        WatchJson::plain(WatchEvent::Started, "2026-03-01T12:00:00".into()).line()
    }

    fn log() -> (tempfile::TempDir, PathBuf) {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("watch.jsonl");
        (dir, path)
    }

    #[test]
    fn whatever_a_killed_run_left_of_its_last_line_the_next_one_stands_alone() {
        let (_dir, path) = log();
        let (whole, bytes) = (line(), line().into_bytes());
        for cut in 0..=bytes.len() {
            for zeros in [0, 700] {
                let left = [whole.as_bytes(), b"\n", &bytes[..cut], &vec![0; zeros]].concat();
                std::fs::write(&path, left).unwrap();
                Lines::open(&path).unwrap().put(&whole).unwrap();
                let text = std::fs::read_to_string(&path).unwrap();
                let kept = if cut == bytes.len() && zeros == 0 {
                    3
                } else {
                    2
                };
                assert_eq!(text, format!("{whole}\n").repeat(kept), "{cut} and {zeros}");
            }
        }
    }

    #[test]
    fn a_file_of_another_kind_is_left_alone() {
        let (_dir, path) = log();
        std::fs::write(&path, "what I know of the antenna").unwrap();
        let refused = Lines::open(&path).err().unwrap().to_string();
        assert!(
            refused.contains("watch.jsonl") && refused.contains("--log"),
            "{refused}"
        );
        let text = std::fs::read_to_string(&path).unwrap();
        assert_eq!(text, "what I know of the antenna");
    }

    #[test]
    fn two_watches_do_not_write_one_log() {
        let (_dir, path) = log();
        let first = Lines::open(&path).unwrap();
        let refused = Lines::open(&path).err().unwrap().to_string();
        assert!(refused.contains("another watch"), "{refused}");
        drop(first);
        assert!(Lines::open(&path).is_ok());
    }

    #[test]
    fn a_log_that_is_emptied_meanwhile_goes_on_from_its_begin() {
        let (_dir, path) = log();
        let mut lines = Lines::open(&path).unwrap();
        lines.put(&line()).unwrap();
        std::fs::write(&path, "").unwrap();
        lines.put(&line()).unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), line() + "\n");
    }
}
