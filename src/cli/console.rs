//! Standard output and standard error, as the user's terminal wants them.

use clap::ValueEnum;
use std::io::{ErrorKind, IsTerminal, Write};

/// When to paint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Colour {
    /// On a terminal, unless NO_COLOR is set
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

/// Width where standard output is no terminal, or does not tell.
const USUAL_WIDTH: usize = 80;

/// Whether standard output is to be painted (NO_COLOR: any value but the empty one says no).
#[must_use]
pub fn painted(colour: Colour) -> bool {
    let set = |name| std::env::var_os(name).is_some_and(|v| !v.is_empty());
    match colour {
        Colour::Always => true,
        Colour::Never => false,
        Colour::Auto => {
            let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
            std::io::stdout().is_terminal() && !set("NO_COLOR") && !dumb
        }
    }
}

/// Columns of standard output: COLUMNS where set, else the terminal's own.
#[must_use]
pub fn width() -> usize {
    let stated = std::env::var("COLUMNS")
        .ok()
        .and_then(|v| v.trim().parse().ok());
    stated
        .filter(|w| *w > 0)
        .or_else(|| {
            terminal_size::terminal_size_of(std::io::stdout()).map(|(w, _)| usize::from(w.0))
        })
        .unwrap_or(USUAL_WIDTH)
}

/// What became of a piece of output.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Said {
    /// It went out.
    Out,
    /// Nobody reads any more, which is no fault: the rest may be spared.
    Closed,
    /// It could not be written; the reason is on standard error.
    Failed,
}

/// Writes to standard output at once.
pub fn say(bytes: &[u8]) -> Said {
    let mut out = std::io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Ok(()) => Said::Out,
        Err(fault) if fault.kind() == ErrorKind::BrokenPipe => Said::Closed,
        Err(fault) => {
            complain(&format!("standard output: {fault}"));
            Said::Failed
        }
    }
}

/// One line on standard error. Control characters, which a file's name may hold, are made
/// harmless. If not even that can be written there is nobody left to tell.
pub fn complain(line: &str) {
    let line: String = line
        .chars()
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect();
    let _ = writeln!(std::io::stderr().lock(), "tailbeat: {line}");
}
