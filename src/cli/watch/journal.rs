//! The log: one line of JSON a happening, and the same on standard output where nobody looks on.

use crate::cli::console::{complain, say};
use crate::error::{Error, Result};
use crate::present::live::WatchJson;
use std::fs::{File, OpenOptions};
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};

/// Where happenings are written.
pub struct Journal {
    log: Option<(PathBuf, File)>,
    out: bool,
    /// A disk that is full is told of once, and again when it was writable in between.
    failing: bool,
}

impl Journal {
    /// Opens the log at its end.
    ///
    /// # Errors
    /// It cannot be opened.
    pub fn open(log: Option<&Path>) -> Result<Self> {
        let log = match log {
            None => None,
            Some(path) => {
                let file = OpenOptions::new().append(true).create(true).open(path);
                let file = file.map_err(|f| Error::io(path.display().to_string(), f))?;
                Some((path.to_owned(), file))
            }
        };
        Ok(Self {
            log,
            out: !std::io::stdout().is_terminal(),
            failing: false,
        })
    }

    /// Writes a line. The watch goes on where that fails.
    pub fn put(&mut self, json: &WatchJson) {
        let line = json.line() + "\n";
        if self.out {
            say(line.as_bytes());
        }
        let Some((path, file)) = &mut self.log else {
            return;
        };
        // In one write, so that a line is there whole or not at all.
        match file
            .write_all(line.as_bytes())
            .and_then(|()| file.sync_data())
        {
            Ok(()) => self.failing = false,
            Err(fault) if harmless(&fault) => {}
            Err(fault) => {
                if !self.failing {
                    let path = path.display();
                    complain(&format!(
                        "{path}: {fault}; the watch goes on and alarms are given, but this log \
                         has holes until there is room"
                    ));
                }
                self.failing = true;
            }
        }
    }
}

/// Pipes and devices cannot be told to reach a disk.
fn harmless(fault: &std::io::Error) -> bool {
    fault.kind() == std::io::ErrorKind::InvalidInput
}
