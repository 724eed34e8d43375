//! A backup of everything by one command, while the desk goes on; and back, into either engine
//! and either kind of store.

use super::bundle::make::{self, Content, Entry};
use super::fault::{Fault, Outcome};
use super::objects::Objects;
use super::secrets;
use super::settings::Place;
use super::store::Store;
use super::store::tables::TABLES;
use crate::error::{Error, Result};
use sha2::{Digest, Sha256};
use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use zip::ZipArchive;

/// Of what kind and number the backup is, within it.
const KIND: (&str, &str) = ("backup.txt", "tailbeat.desk-backup/1\n");

/// What a backup or a restoring had to do with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Extent {
    /// Rows of the database.
    pub rows: usize,
    /// Originals.
    pub originals: usize,
}

/// Writes a backup.
///
/// # Errors
/// The database, the store or the disk fails, there is no desk, or there is a file of that name already.
pub async fn make(place: &Place, to: &Path) -> Result<Extent> {
    let name = to.display().to_string();
    if to.exists() {
        return Err(Error::BadSetting {
            place: name,
            what: "there is a file of this name".into(),
            remedy: "give a new name: a backup never writes over another".into(),
        });
    }
    // A backup of one that was made just now would look like a backup.
    place.expect_desk()?;
    let store = Store::open(&place.database).await?;
    let objects = Objects::open(&place.originals)?;
    let made = write(place, &store, &objects, to).await;
    store.close().await;
    made.map_err(|fault| outward(&name, fault))
}

async fn write(place: &Place, store: &Store, objects: &Objects, to: &Path) -> Outcome<Extent> {
    let incoming = place.incoming();
    std::fs::create_dir_all(&incoming)?;
    let text = |name: String, text: String| Entry {
        name,
        content: Content::Text(text),
    };
    let mut entries = vec![text(KIND.0.into(), KIND.1.into())];
    let mut rows = 0;
    let mut look = store.look().await?;
    for table in TABLES {
        let dump = store.dump(&mut look, table).await?;
        rows += dump.lines().count();
        entries.push(text(format!("tables/{table}.jsonl"), dump));
    }
    let places = Store::places(&mut look).await?;
    look.rollback().await?;
    let originals = places.len();
    for place in places {
        // Deleted since the look: the backup would be of no one moment.
        let file = objects.as_file(&place, &incoming).await?;
        entries.push(Entry {
            name: format!("originals/{place}"),
            content: Content::File(file),
        });
    }
    let folder = to
        .parent()
        .filter(|f| !f.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let file = make::zip_in(folder, entries).await?;
    file.as_file().sync_all()?;
    (file.persist_noclobber(to)).map_err(|fault| Fault::Io(fault.error))?;
    Ok(Extent { rows, originals })
}

/// Restores a backup into a desk that nobody has used.
///
/// # Errors
/// It is no backup, or a damaged one; the desk has been used; or something fails.
pub async fn restore(place: &Place, from: &Path) -> Result<Extent> {
    let name = from.display().to_string();
    std::fs::create_dir_all(place.incoming())
        .map_err(|fault| Error::io(place.folder.display().to_string(), fault))?;
    let store = Store::open(&place.database).await?;
    let objects = Objects::open(&place.originals)?;
    let restored = read(place, &store, &objects, from).await;
    store.close().await;
    restored.map_err(|fault| outward(&name, fault))
}

async fn read(place: &Place, store: &Store, objects: &Objects, from: &Path) -> Outcome<Extent> {
    if !store.is_unused().await? {
        return Err(Fault::Bad(
            "this desk has been used; restore into a new folder and an empty database".into(),
        ));
    }
    let damaged = |what: String| Fault::Bad(format!("{what}; use another backup"));
    let broken = |fault: zip::result::ZipError| damaged(format!("it is damaged ({fault})"));
    let mut zip = ZipArchive::new(std::fs::File::open(from)?).map_err(broken)?;
    let mut kind = String::new();
    (zip.by_name(KIND.0).map_err(broken)?).read_to_string(&mut kind)?;
    if kind != KIND.1 {
        return Err(damaged("it is no backup of a desk".into()));
    }
    let mut rows = 0;
    let mut work = store.work().await?;
    for table in TABLES {
        let entry = zip
            .by_name(&format!("tables/{table}.jsonl"))
            .map_err(broken)?;
        for line in BufReader::new(entry).lines() {
            Store::put_back(&mut work, table, &line?).await?;
            rows += 1;
        }
    }
    let places = Store::originals_in(&mut work).await?;
    for (sha256, at) in &places {
        let mut file = tempfile::NamedTempFile::new_in(place.incoming())?;
        let mut entry = zip.by_name(&format!("originals/{at}")).map_err(broken)?;
        let mut hash = Sha256::new();
        let mut step = vec![0; 256 * 1024];
        loop {
            let got = entry.read(&mut step)?;
            let Some(bytes) = step.get(..got).filter(|b| !b.is_empty()) else {
                break;
            };
            hash.update(bytes);
            file.write_all(bytes)?;
        }
        drop(entry);
        if secrets::hex(&hash.finalize()) != *sha256 {
            return Err(damaged(format!(
                "the original {at} is not what its fingerprint says"
            )));
        }
        file.as_file().sync_all()?;
        let new = objects.take(file.path(), sha256).await?;
        Store::move_original(&mut work, sha256, &new).await?;
    }
    work.commit().await?;
    Ok(Extent {
        rows,
        originals: places.len(),
    })
}

fn outward(name: &str, fault: Fault) -> Error {
    match fault {
        Fault::Library(fault) => fault,
        Fault::Bad(what) => {
            let (what, remedy) = what.rsplit_once("; ").unwrap_or((&what, "use another"));
            Error::BadFile {
                file: name.into(),
                what: what.into(),
                remedy: remedy.into(),
            }
        }
        other => Error::io(name, std::io::Error::other(other)),
    }
}
