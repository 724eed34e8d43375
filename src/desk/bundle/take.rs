//! A bundle becomes a case. Nothing in it is believed but what its keeper typed and the originals,
//! whose fingerprints must be right: verdicts, figures and pages are made anew from them.

use super::manifest::{Manifest, NAME, RecordingPart, SCHEMA, TestPart};
use crate::desk::app::App;
use crate::desk::arriving::{self, Arriving, Whole};
use crate::desk::casework::{chain, measuring};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::store::cases::Measured;
use crate::desk::store::imports::{Imported, ImportedRecording};
use crate::desk::store::recordings::{Arrived, Correction, HANG_S, Told};
use crate::desk::store::repeaters::Stated;
use crate::desk::view::{CaseState, Phase, Squelch, When};
use crate::desk::{fill, http, secrets};
use std::io::Read;
use std::path::PathBuf;
use tokio::sync::mpsc;
use zip::ZipArchive;

/// Longest manifest.
const MANIFEST_BYTES: u64 = 16 * 1024 * 1024;
/// Most recordings, tests, or lines of history in a case.
const MOST_PARTS: usize = 1000;
/// Longest line, and longest other words.
const LINE_CHARS: usize = 200;
const WORDS_CHARS: usize = 8000;
/// Bytes unpacked at a time.
const STEP_BYTES: usize = 256 * 1024;

/// Takes a bundle in; gives the key of the new case.
///
/// # Errors
/// It is no bundle of a case, something in it is damaged or too large, or the desk fails;
/// nothing has been kept then.
pub async fn take(app: &App, bundle: &Whole, by: &str) -> Outcome<String> {
    let path = bundle.path().to_owned();
    let manifest = blocking({
        let path = path.clone();
        move || manifest(&path)
    })
    .await?;
    let tests = manifest
        .tests
        .iter()
        .map(measured)
        .collect::<Outcome<_>>()?;
    if let Some(site) = &manifest.site_toml {
        chain::plan(site)?;
    }
    let mut recordings = Vec::new();
    let mut places = Vec::new();
    for part in &manifest.recordings {
        let whole = original(app, &path, part).await?;
        let place = app.objects.take(whole.path(), &whole.sha256).await?;
        places.push(place.clone());
        recordings.push(recording(part, &whole, place));
    }
    let case = Imported {
        repeater: Stated {
            name: line(&manifest.repeater.name),
            output_mhz: cut(&manifest.repeater.output_mhz, 20),
            place: line(&manifest.repeater.place),
            hang_s: manifest
                .repeater
                .hang_s
                .filter(|hang| HANG_S.contains(hang)),
            hysteresis_db: (manifest.repeater.hysteresis_db).filter(|h| (0.0..=20.0).contains(h)),
            word: String::new(),
        },
        title: line(&manifest.title),
        state: state(&manifest.state).as_str(),
        work: cut(&manifest.work, 100),
        site_toml: manifest.site_toml,
        history: (manifest.history.iter())
            .map(|part| {
                // Its row is of today; when it was stands in the words.
                let at = part.at.parse().map(When);
                let at = at.map_or_else(|_| cut(&part.at, 30), When::in_words);
                let said = format!("{} (on {at})", cut(&part.said, WORDS_CHARS));
                (
                    state(&part.state).as_str(),
                    said.trim().to_owned(),
                    line(&part.by),
                )
            })
            .collect(),
        recordings,
        tests,
        origin: bundle.sha256.clone(),
    };
    let (id, spare) = app.store.import(&case, by).await?;
    for place in spare {
        app.remove(&place).await;
    }
    app.bell.notify_waiters();
    app.bell.notify_one();
    Ok(id)
}

fn manifest(path: &std::path::Path) -> Outcome<Manifest> {
    let bad = |what: &str| {
        Fault::Bad(format!(
            "{what}; choose a zip that a desk has made of a case"
        ))
    };
    let mut zip = open(path)?;
    let entry = zip
        .by_name(NAME)
        .map_err(|_| bad("there is no case in this file"))?;
    let mut text = String::new();
    let mut entry = entry.take(MANIFEST_BYTES + 1);
    (entry.read_to_string(&mut text)).map_err(|_| bad("the case in this file is damaged"))?;
    if text.len() as u64 > MANIFEST_BYTES {
        return Err(bad("the case in this file is too large"));
    }
    let manifest: Manifest = serde_json::from_str(&text).map_err(|fault| {
        bad(&format!(
            "the case in this file does not keep to its form ({fault})"
        ))
    })?;
    if manifest.schema != SCHEMA {
        return Err(bad(&format!(
            "a case of the kind {} is not known here",
            line(&manifest.schema)
        )));
    }
    let parts = [
        manifest.recordings.len(),
        manifest.tests.len(),
        manifest.history.len(),
    ];
    if parts.into_iter().any(|n| n > MOST_PARTS) {
        return Err(bad(&format!(
            "the case in this file has more than {MOST_PARTS} parts"
        )));
    }
    Ok(manifest)
}

fn open(path: &std::path::Path) -> Outcome<ZipArchive<std::fs::File>> {
    ZipArchive::new(std::fs::File::open(path)?)
        .map_err(|fault| Fault::Bad(format!("this is no zip, or a damaged one ({fault})")))
}

/// Unpacks one original, no more of it than a member may send, and checks its fingerprint.
async fn original(app: &App, path: &std::path::Path, part: &RecordingPart) -> Outcome<Whole> {
    let (send, mut blocks) = mpsc::channel::<Vec<u8>>(4);
    let (path, name): (PathBuf, String) = (path.to_owned(), part.original.clone());
    let unpacking = tokio::task::spawn_blocking(move || -> Outcome<()> {
        let mut zip = open(&path)?;
        let missing = |_| Fault::Bad(format!("{} is not in this file", line(&name)));
        let mut entry = zip.by_name(&name).map_err(missing)?;
        loop {
            let mut block = vec![0; STEP_BYTES];
            let got = (entry.read(&mut block))
                .map_err(|fault| Fault::Bad(format!("{} is damaged ({fault})", line(&name))))?;
            block.truncate(got);
            // Whoever does not take it any more has had too much.
            if got == 0 || send.blocking_send(block).is_err() {
                return Ok(());
            }
        }
    });
    let mut file = Arriving::new(&app.incoming(), app.settings.limits.recording_bytes)?;
    while let Some(block) = blocks.recv().await {
        file.add(&block).await?;
    }
    unpacking
        .await
        .map_err(|fault| Fault::Broken(fault.to_string()))??;
    let whole = file.finish().await?;
    if whole.sha256 != part.sha256 {
        return Err(Fault::Bad(format!(
            "{} is not what its fingerprint says; get the bundle once more",
            line(&part.original)
        )));
    }
    Ok(whole)
}

fn recording(part: &RecordingPart, whole: &Whole, place: String) -> ImportedRecording {
    let corrected = part.corrected.as_deref();
    let corrected = corrected.and_then(|word| http::known_label(word).ok());
    ImportedRecording {
        arrived: Arrived {
            repeater: String::new(),
            place,
            sha256: whole.sha256.clone(),
            bytes: i64::try_from(whole.bytes).unwrap_or(i64::MAX),
            file_name: arriving::file_name(&part.file_name),
            receipt: secrets::word(),
            told: Told {
                place: line(&part.place),
                radio: line(&part.set),
                squelch: squelch(&part.squelch).as_str().into(),
                noticed: cut(&part.noticed, WORDS_CHARS),
                sender: line(&part.sender),
            },
        },
        phase: phase(&part.phase).as_str(),
        corrected: corrected.map(|label| Correction {
            label,
            why: cut(
                part.correction_note.as_deref().unwrap_or_default(),
                WORDS_CHARS,
            ),
            hang_s: (part.corrected_hang_s).filter(|hang| HANG_S.contains(hang)),
            mode: (part.corrected_mode.as_deref()).and_then(|word| http::known_mode(word).ok()),
        }),
        notes: (part.notes.iter().take(MOST_PARTS))
            .map(|note| (cut(&note.text, WORDS_CHARS), line(&note.by)))
            .collect(),
    }
}

fn measured(part: &TestPart) -> Outcome<Measured> {
    let at = measuring::Circumstances {
        day: cut(&part.day, 20),
        phase: phase(&part.phase).as_str().into(),
    };
    let sheet = part.sheet.replace('\0', "");
    if part.kind == "tee" {
        measuring::tee(sheet, at)
    } else {
        measuring::stepped(sheet, part.hysteresis_db, at)
    }
}

fn state(word: &str) -> CaseState {
    fill::case_state(word)
}

fn phase(word: &str) -> Phase {
    fill::phase(word)
}

fn squelch(word: &str) -> Squelch {
    fill::squelch(word)
}

fn line(words: &str) -> String {
    cut(words, LINE_CHARS)
}

fn cut(words: &str, most: usize) -> String {
    words.chars().filter(|c| *c != '\0').take(most).collect()
}

async fn blocking<T: Send + 'static>(
    work: impl FnOnce() -> Outcome<T> + Send + 'static,
) -> Outcome<T> {
    let done = tokio::task::spawn_blocking(work).await;
    done.map_err(|fault| Fault::Broken(fault.to_string()))?
}
