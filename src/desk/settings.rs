//! What the desk is told at its start, resolved.

use crate::error::{Error, Result};
use std::net::SocketAddr;
use std::path::PathBuf;

/// Where the database is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Database {
    /// A file within the desk's folder or elsewhere on this machine.
    Sqlite(PathBuf),
    /// A PostgreSQL server, as an address `postgres://…`.
    Postgres(String),
}

/// Where the members' originals are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Originals {
    /// A folder on this machine.
    Folder(PathBuf),
    /// A bucket of an S3-compatible store, as an address `s3://BUCKET/PREFIX`.
    Bucket(String),
}

/// What a desk and a worker have in common.
#[derive(Debug, Clone)]
pub struct Place {
    /// The desk's folder.
    pub folder: PathBuf,
    /// Its database.
    pub database: Database,
    /// The originals.
    pub originals: Originals,
}

/// What is asked of analyses.
#[derive(Debug, Clone, Copy)]
pub struct Bounds {
    /// Analyses at a time.
    pub at_a_time: usize,
    /// Seconds of the clock that one may take.
    pub seconds: u64,
    /// Bytes of address space that one may take.
    pub memory_bytes: u64,
    /// Seconds of sound that one may hold.
    pub sound_s: u64,
}

/// What is asked of those who send in.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Bytes of one recording.
    pub recording_bytes: u64,
    /// Recordings that may be sent in through one repeater's link within an hour.
    pub recordings_an_hour: u32,
}

/// Everything.
#[derive(Debug, Clone)]
pub struct Settings {
    /// Folder, database, originals.
    pub place: Place,
    /// Where to listen.
    pub listen: SocketAddr,
    /// Address under which others reach the desk, without a slash at its end.
    pub public: Option<String>,
    /// Whether a proxy in front tells the caller's address in `X-Forwarded-For`.
    pub behind_proxy: bool,
    /// For the analyses; none are made here where `at_a_time` is 0.
    pub bounds: Bounds,
    /// For those who send in.
    pub limits: Limits,
}

impl Place {
    /// Puts typed words together.
    ///
    /// # Errors
    /// An address of a kind that is not known.
    pub fn new(folder: PathBuf, database: Option<&str>, objects: Option<&str>) -> Result<Self> {
        let database = match database {
            None => Database::Sqlite(folder.join("desk.sqlite")),
            Some(url) if url.starts_with("postgres://") || url.starts_with("postgresql://") => {
                Database::Postgres(url.into())
            }
            Some(url) if url.contains("://") => {
                return Err(Error::BadSetting {
                    place: "--database".into(),
                    what: format!("{} is no database known here", kind(url)),
                    remedy: "give a file's path, or postgres://USER@HOST/NAME".into(),
                });
            }
            Some(path) => Database::Sqlite(path.into()),
        };
        let originals = match objects {
            None => Originals::Folder(folder.join("originals")),
            Some(url) if url.starts_with("s3://") => Originals::Bucket(url.into()),
            Some(url) if url.contains("://") => {
                return Err(Error::BadSetting {
                    place: "--objects".into(),
                    what: format!("{} is no store known here", kind(url)),
                    remedy: "give a folder's path, or s3://BUCKET/PREFIX".into(),
                });
            }
            Some(path) => Originals::Folder(path.into()),
        };
        Ok(Self {
            folder,
            database,
            originals,
        })
    }

    /// Makes sure that a desk keeps something here: to open a database that is missing would make one.
    ///
    /// # Errors
    /// There is none.
    pub fn expect_desk(&self) -> Result<()> {
        match &self.database {
            Database::Sqlite(path) if !path.exists() => Err(Error::BadSetting {
                place: path.display().to_string(),
                what: "no desk keeps anything here".into(),
                remedy: "give the desk's own folder by --folder, or its database by --database"
                    .into(),
            }),
            _ => Ok(()),
        }
    }

    /// Where the desk leaves the address by which others reach it, for the commands beside it.
    #[must_use]
    pub fn address(&self) -> PathBuf {
        self.folder.join("address")
    }

    /// Where uploads arrive.
    #[must_use]
    pub fn incoming(&self) -> PathBuf {
        self.folder.join("incoming")
    }
}

/// The part before the colon: an address may hold a password.
fn kind(url: &str) -> &str {
    url.split(':').next().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everything_lies_in_the_folder_unless_said_otherwise() {
        let place = Place::new("club".into(), None, None).unwrap();
        assert_eq!(place.database, Database::Sqlite("club/desk.sqlite".into()));
        assert_eq!(place.originals, Originals::Folder("club/originals".into()));
        let place = Place::new("c".into(), Some("postgres://h/d"), Some("s3://b/p")).unwrap();
        assert_eq!(place.database, Database::Postgres("postgres://h/d".into()));
        assert_eq!(place.originals, Originals::Bucket("s3://b/p".into()));
    }

    #[test]
    fn a_complaint_never_repeats_the_password() {
        let said = Place::new("c".into(), Some("other://u:secret@h/d"), None).unwrap_err();
        assert!(!said.to_string().contains("secret"), "{said}");
        assert!(said.to_string().contains("--database"), "{said}");
    }
}
