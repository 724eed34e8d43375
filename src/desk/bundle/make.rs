//! A case becomes a zip, in a file of its own: a bundle of long recordings fits into no memory.

use super::entry_name;
use super::manifest::{
    HistoryPart, Manifest, NAME, NotePart, RecordingPart, RepeaterPart, SCHEMA, TestPart,
};
use crate::desk::app::App;
use crate::desk::casework::dossier;
use crate::desk::casework::whole::Whole;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::moment::rfc3339;
use crate::desk::objects::Borrowed;
use crate::desk::{arriving, secrets};
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::io::{BufWriter, Read, Write};
use std::path::Path;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// Bytes copied at a time.
const STEP_BYTES: usize = 256 * 1024;

/// What goes into a zip, in order.
pub struct Entry {
    /// Name within it.
    pub name: String,
    /// What it holds.
    pub content: Content,
}

/// What an entry holds.
pub enum Content {
    /// A text.
    Text(String),
    /// A file.
    File(Borrowed),
}

/// The entries of a case's bundle; `page` is the page that stands alone.
///
/// # Errors
/// The database or the store fails, or what is kept is damaged.
pub async fn entries(app: &App, whole: &Whole, page: String) -> Outcome<Vec<Entry>> {
    let mut entries = Vec::new();
    let text = |name: &str, text: String| Entry {
        name: name.into(),
        content: Content::Text(text),
    };
    let manifest = manifest(app, whole).await?;
    let written = serde_json::to_string_pretty(&manifest);
    let written = written.map_err(|fault| Fault::Broken(fault.to_string()))?;
    entries.push(text(NAME, written + "\n"));
    entries.push(text("page.html", page));
    // Sets that cannot be compared are no reason to keep the rest back.
    if let Ok(Some(of)) = whole.comparison() {
        let (sheet, json) = dossier::sheet(&of);
        entries.push(text("dossier.html", sheet));
        entries.push(text("compare.json", json));
    }
    if let Some(site) = &whole.case.site_toml {
        entries.push(text("site.toml", site.clone()));
    }
    for saved in &whole.saved {
        entries.push(text(&saved.name, format!("{}\n", saved.json)));
    }
    for (n, test) in whole.measured.iter().enumerate() {
        if test.kind == "tee" {
            let name = format!("tests/{}-tee.json", n + 1);
            entries.push(text(&name, format!("{}\n", test.result_json)));
        }
    }
    for ((recording, _), part) in whole.recordings.iter().zip(&manifest.recordings) {
        let place = app.store.place_of(&recording.sha256).await?;
        let file = app.objects.as_file(&place, &app.incoming()).await?;
        entries.push(Entry {
            name: part.original.clone(),
            content: Content::File(file),
        });
    }
    Ok(entries)
}

async fn manifest(app: &App, whole: &Whole) -> Outcome<Manifest> {
    let (case, repeater) = (&whole.case, &whole.repeater);
    let history = app.store.history_of(&case.id).await?;
    let mut recordings = Vec::new();
    for (n, (recording, phase)) in whole.recordings.iter().enumerate() {
        let name = entry_name(n + 1, &recording.file_name);
        let result = format!("results/{name}.json");
        let has_result = whole.saved.iter().any(|saved| saved.name == result);
        let notes = app.store.notes_on(&recording.id).await?;
        recordings.push(RecordingPart {
            original: format!("originals/{name}"),
            result: has_result.then_some(result),
            sha256: recording.sha256.clone(),
            file_name: recording.file_name.clone(),
            received_at: rfc3339(recording.received_at),
            phase: phase.clone(),
            place: recording.place.clone(),
            set: recording.radio.clone(),
            squelch: recording.squelch.clone(),
            noticed: recording.noticed.clone(),
            sender: recording.sender.clone(),
            corrected: recording.corrected.clone(),
            correction_note: recording.correction_note.clone(),
            corrected_hang_s: recording.corrected_hang_s,
            corrected_mode: recording.corrected_mode.clone(),
            notes: (notes.into_iter())
                .map(|note| NotePart {
                    by: note.made_by,
                    text: note.words,
                })
                .collect(),
        });
    }
    Ok(Manifest {
        schema: SCHEMA.into(),
        repeater: RepeaterPart {
            name: repeater.name.clone(),
            output_mhz: repeater.output_mhz.clone(),
            place: repeater.place.clone(),
            hang_s: repeater.hang_s,
            hysteresis_db: repeater.hysteresis_db,
        },
        title: case.title.clone(),
        state: case.state.clone(),
        work: case.work.clone(),
        site_toml: case.site_toml.clone(),
        history: (history.into_iter())
            .map(|note| HistoryPart {
                at: rfc3339(note.made_at),
                by: note.made_by,
                state: note.new_state.unwrap_or_default(),
                said: note.words,
            })
            .collect(),
        recordings,
        tests: (whole.measured.iter().enumerate())
            .map(|(n, test)| TestPart {
                kind: test.kind.clone(),
                phase: test.phase.clone(),
                day: test.day.clone(),
                sheet: test.sheet.clone(),
                hysteresis_db: test.hysteresis_db,
                result: format!("tests/{}-{}.json", n + 1, test.kind),
            })
            .collect(),
    })
}

/// Writes a zip with its fingerprints into a temporary file among the incoming.
///
/// # Errors
/// The disk fails.
pub async fn zip(app: &App, entries: Vec<Entry>) -> Outcome<tempfile::NamedTempFile> {
    zip_in(&app.incoming(), entries).await
}

/// The same in any folder.
///
/// # Errors
/// The disk fails.
pub async fn zip_in(folder: &Path, entries: Vec<Entry>) -> Outcome<tempfile::NamedTempFile> {
    let file = (tempfile::Builder::new().prefix(arriving::PREFIX)).tempfile_in(folder)?;
    let written = tokio::task::spawn_blocking(move || {
        write(file.as_file(), &entries)?;
        Ok::<_, Fault>(file)
    });
    written
        .await
        .map_err(|fault| Fault::Broken(fault.to_string()))?
}

fn write(file: &std::fs::File, entries: &[Entry]) -> Outcome<()> {
    let broken = |fault: zip::result::ZipError| Fault::Broken(fault.to_string());
    let mut out = ZipWriter::new(BufWriter::new(file));
    // The same case gives the same bytes: entries carry no time.
    let packed = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    // Sound is packed already.
    let plain = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Stored)
        .large_file(true);
    let mut sums = String::new();
    for entry in entries {
        let mut hash = Sha256::new();
        match &entry.content {
            Content::Text(text) => {
                out.start_file(entry.name.as_str(), packed)
                    .map_err(broken)?;
                hash.update(text.as_bytes());
                out.write_all(text.as_bytes())?;
            }
            Content::File(file) => {
                out.start_file(entry.name.as_str(), plain).map_err(broken)?;
                let mut source = std::fs::File::open(file.path())?;
                let mut step = vec![0; STEP_BYTES];
                loop {
                    let got = source.read(&mut step)?;
                    let Some(bytes) = step.get(..got).filter(|b| !b.is_empty()) else {
                        break;
                    };
                    hash.update(bytes);
                    out.write_all(bytes)?;
                }
            }
        }
        let _ = writeln!(sums, "{}  {}", secrets::hex(&hash.finalize()), entry.name);
    }
    // As general checksum tools read it.
    out.start_file("SHA256SUMS", packed).map_err(broken)?;
    out.write_all(sums.as_bytes())?;
    let mut rest = out.finish().map_err(broken)?;
    Ok(rest.flush()?)
}
