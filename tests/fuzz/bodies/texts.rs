//! Any text to every reader of text files: what they take must be usable, what they refuse must be
//! refused in one line that names the file.

use tailbeat::Result;
use tailbeat::site::tee::Criterion;
use tailbeat::typed_table::TypedTable;
use tailbeat::{backoff, present, proving, simulate, site};

const FILE: &str = "fuzzed.txt";

/// The first byte says which reader.
pub fn run(bytes: &[u8]) {
    let Some((which, rest)) = bytes.split_first() else {
        return;
    };
    let Ok(text) = std::str::from_utf8(rest) else {
        return;
    };
    match which % 10 {
        0 => done(backoff::steps::read(FILE, text)),
        1 => done(backoff::typed::read(FILE, text)),
        2 => done(site::chain::read::read(FILE, text)),
        3 => done(site::tee::read::read_toml(FILE, text)),
        4 => done(site::tee::read::read_csv(
            FILE,
            text,
            Criterion::Sinad12,
            Some(30.0),
        )),
        5 => done(TypedTable::read(FILE, text, &["start_s", "backoff_db"])),
        6 => done(present::compare::read(FILE, text)),
        7 => done(simulate::Scenario::from_toml(text, FILE)),
        8 => done(simulate::Family::from_toml(text, FILE)),
        _ => done(proving::corpus::Corpus::from_files(&[(
            "split.toml".to_owned(),
            text.to_owned(),
        )])),
    }
}

fn done<T>(result: Result<T>) {
    if let Err(error) = result {
        let line = error.to_string();
        assert_eq!(line.lines().count(), 1, "{line}");
    }
}
