//! What a finished run leaves beside its results: the tables and the summary.

use super::results::Results;
use crate::archive::summary::{self, Recorded, Summary};
use crate::cli::whole;
use crate::error::{Error, Result};
use crate::present::archive::{Table, Writer, episodes, leaf, recorded, tables};
use crate::present::site::leaf::Leaf;
use std::fs::File;
use std::io::BufWriter;
use std::path::Path;

/// Lines that become one row group: some hundred thousand drops where it cycled all the time.
const LINES: usize = 512;

/// A table on its way to the disk under a name that is not its own yet.
struct Draft {
    writer: Writer<BufWriter<File>>,
    draft: tempfile::TempPath,
    name: &'static str,
}

impl Draft {
    fn new(dir: &Path, like: &Table) -> Result<Self> {
        let shown = dir.join(format!("{}.parquet", like.name));
        let shown = shown.display().to_string();
        let (file, draft) = whole::draft_in(dir)?;
        Ok(Self {
            writer: Writer::new(BufWriter::new(file), &shown, like)?,
            draft,
            name: like.name,
        })
    }

    fn finish(self, dir: &Path) -> Result<()> {
        let path = dir.join(format!("{}.parquet", self.name));
        let failed = |fault| Error::io(path.display().to_string(), fault);
        let out = self.writer.finish()?;
        let file = out.into_inner().map_err(|f| failed(f.into_error()))?;
        file.sync_data().map_err(failed)?;
        self.draft.persist(&path).map_err(|f| failed(f.error))
    }
}

/// Writes the tables and the summary; returns the summary as a leaf.
///
/// # Errors
/// A file cannot be written, or the results not be read.
pub fn write(dir: &Path, results: &mut Results) -> Result<Leaf> {
    let mut drafts = Vec::new();
    for table in tables(0, &[]) {
        drafts.push(Draft::new(dir, &table)?);
    }
    let mut facts: Vec<Recorded> = Vec::new();
    let mut addresses: Vec<String> = Vec::new();
    results.each(LINES, |first, lines| {
        for (draft, table) in drafts.iter_mut().zip(tables(first, lines)) {
            draft.writer.add(&table)?;
        }
        facts.extend(lines.iter().map(recorded));
        addresses.extend(lines.iter().map(|l| l.address.clone()));
        Ok(())
    })?;
    let list = episodes(&summary::episodes(&facts), |n| addresses.get(n).cloned());
    let mut draft = Draft::new(dir, &list)?;
    draft.writer.add(&list)?;
    drafts.push(draft);
    for draft in drafts {
        draft.finish(dir)?;
    }
    let summary: Summary = summary::summarise(&facts);
    let leaf = leaf(&summary);
    whole::write(&dir.join("summary.html"), leaf.page().as_bytes())?;
    Ok(leaf)
}
