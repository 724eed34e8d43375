//! Standard output and standard error, as the user's terminal wants them.

use super::drawing;
use crate::present::text::wrap::{hanging, width_of};
use clap::ValueEnum;
use std::io::{BufWriter, ErrorKind, IsTerminal, Write};

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
    say_by(|out| out.write_all(bytes))
}

/// Lets it be written to standard output bit by bit.
pub fn say_by(write: impl FnOnce(&mut dyn Write) -> std::io::Result<()>) -> Said {
    let mut out = BufWriter::with_capacity(1 << 16, std::io::stdout().lock());
    match write(&mut out).and_then(|()| out.flush()) {
        Ok(()) => Said::Out,
        Err(fault) if fault.kind() == ErrorKind::BrokenPipe => Said::Closed,
        Err(fault) => {
            complain(&format!("standard output: {fault}"));
            Said::Failed
        }
    }
}

/// One line on standard error; on a terminal it is broken between words. Control characters, which
/// a file's name may hold, are made harmless. If not even that can be written there is nobody left
/// to tell.
pub fn complain(line: &str) {
    let line: String = line
        .chars()
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect();
    let line = format!("tailbeat: {line}");
    let line = match terminal_size::terminal_size_of(std::io::stderr()) {
        Some((columns, _)) => fitted(&line, usize::from(columns.0)),
        None => line,
    };
    drawing::above(|| {
        let _ = writeln!(std::io::stderr().lock(), "{line}");
    });
}

/// A line that fits so many columns: as it is, or broken between words, what follows a little to
/// the right.
pub fn fitted(line: &str, columns: usize) -> String {
    if width_of(line) <= columns {
        line.to_owned()
    } else {
        hanging("", "  ", line, columns).join("\n")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lines_are_broken_between_words_and_short_ones_left_alone() {
        assert_eq!(fitted("two  blanks stay", 16), "two  blanks stay");
        assert_eq!(
            fitted("a.wav: nothing of it can be read", 20),
            "a.wav: nothing of it\n  can be read"
        );
    }
}
