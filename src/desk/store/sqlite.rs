//! SQLite, in a file of this machine: nothing to set up.

use super::engine::Engine;
use crate::error::{Error, Result};
use std::path::Path;

/// The engine.
pub struct Sqlite {
    url: String,
}

impl Sqlite {
    /// Of a file, which is made where it is missing.
    pub fn new(path: &Path) -> Result<Self> {
        let name = path.to_str().ok_or_else(|| Error::BadSetting {
            place: "--database".into(),
            what: format!("{} is no path in UTF-8", path.display()),
            remedy: "choose another folder".into(),
        })?;
        Ok(Self {
            url: format!("sqlite://{}?mode=rwc", escaped(name)),
        })
    }
}

/// Signs that mean something in an address.
fn escaped(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    for letter in path.chars() {
        match letter {
            '%' => out.push_str("%25"),
            '?' => out.push_str("%3F"),
            '#' => out.push_str("%23"),
            _ => out.push(letter),
        }
    }
    out
}

impl Engine for Sqlite {
    fn url(&self) -> String {
        self.url.clone()
    }

    fn remedy(&self) -> String {
        "check that the folder can be written and the file is the desk's".into()
    }

    fn connections(&self) -> u32 {
        // Readers go on beside the one writer.
        6
    }

    fn at_connection(&self) -> Option<&'static str> {
        // FULL: a commit is on the disk when it returns, also if the power fails.
        Some(
            "PRAGMA busy_timeout = 60000; PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; \
             PRAGMA foreign_keys = ON; PRAGMA secure_delete = ON;",
        )
    }

    fn begin(&self) -> &'static str {
        // Takes the writer's place at once: to ask for it half-way can fail.
        "BEGIN IMMEDIATE"
    }

    fn begin_look(&self) -> &'static str {
        "BEGIN"
    }

    fn for_update(&self) -> &'static str {
        ""
    }

    fn for_update_skip_locked(&self) -> &'static str {
        ""
    }

    fn after_deletion(&self) -> Option<&'static str> {
        // What was deleted still stands in the journal until it is taken over and emptied.
        Some("PRAGMA wal_checkpoint(TRUNCATE)")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_of_any_name_can_be_used() {
        let of = |path: &str| Sqlite::new(Path::new(path)).unwrap().url();
        assert_eq!(of("/a b/x?.db"), "sqlite:///a b/x%3F.db?mode=rwc");
        assert_eq!(of("/100%/ö.db"), "sqlite:///100%25/ö.db?mode=rwc");
    }
}
