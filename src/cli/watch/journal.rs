//! The log: one line of JSON a happening, and the same on standard output where nobody looks on.

use super::lines::Lines;
use crate::cli::console::{Said, complain, say};
use crate::error::Result;
use crate::present::live::WatchJson;
use std::io::IsTerminal;
use std::path::Path;

/// Where happenings are written.
pub struct Journal {
    log: Option<Lines>,
    out: bool,
    /// Standard output took no line, or a part of one.
    out_torn: bool,
    /// A disk that is full is told of once, and again when it was writable in between.
    failing: bool,
}

impl Journal {
    /// Opens the log at its end.
    ///
    /// # Errors
    /// It cannot be opened.
    pub fn open(log: Option<&Path>) -> Result<Self> {
        Ok(Self {
            log: log.map(Lines::open).transpose()?,
            out: !std::io::stdout().is_terminal(),
            out_torn: false,
            failing: false,
        })
    }

    /// Writes a line. The watch goes on where that fails.
    pub fn put(&mut self, json: &WatchJson) {
        let line = json.line();
        if self.out {
            self.put_out(&line);
        }
        let Some(log) = &mut self.log else { return };
        match log.put(&line) {
            Ok(()) => self.failing = false,
            Err(fault) => {
                if !self.failing {
                    let path = log.path().display();
                    complain(&format!(
                        "{path}: {fault}; the watch goes on and alarms are given, but this log \
                         has holes until there is room"
                    ));
                }
                self.failing = true;
            }
        }
    }

    /// What is written there cannot be taken back; but the next line begins as one.
    fn put_out(&mut self, line: &str) {
        let before = if self.out_torn { "\n" } else { "" };
        self.out_torn = say(format!("{before}{line}\n").as_bytes()) == Said::Failed;
    }
}
