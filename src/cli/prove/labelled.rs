//! Hears recordings that somebody labelled: a folder of them, each with its NAME.truth.json.

use super::making::io;
use crate::check::Check;
use crate::cli::console::{Said, say};
use crate::error::{Error, Result};
use crate::simulate::Truth;
use crate::units::Seconds;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// What the labels' names end in.
const LABELS: &str = ".truth.json";
/// Endings of what may lie beside a recording and is none.
const BESIDE: [&str; 4] = ["json", "toml", "txt", "md"];

/// Hears each recording of the folder and prints its verdict against its label.
pub fn hear(folder: &Path, check: &dyn Fn(&Path) -> Result<Check>) -> Result<Said> {
    let files = listed(folder)?;
    let mut counts = [0; 3];
    let mut text = String::new();
    for (name, labels) in labelled(&files) {
        let truth = read(labels)?;
        let sound = sound_of(&files, &name, labels)?;
        let (standing, words) = match check(sound) {
            Ok(check) => compared(&truth, &check),
            Err(fault) => (Standing::Wrong, fault.to_string()),
        };
        counts[standing as usize] += 1;
        text += &format!(
            "{:<9} {name}: {}{words}\n",
            standing.word(),
            truth.cause.as_str()
        );
    }
    let [right, wrong, undecided] = counts;
    let all = right + wrong + undecided;
    if all == 0 {
        return Err(Error::BadFile {
            file: folder.display().to_string(),
            what: format!("no NAME{LABELS} lies in it"),
            remedy: "give a folder of recordings with their labels beside them".into(),
        });
    }
    text += &format!("{all} recordings: {right} right, {wrong} wrong, {undecided} undecided\n");
    Ok(say(text.as_bytes()))
}

#[derive(Clone, Copy)]
enum Standing {
    Right,
    Wrong,
    Undecided,
}

impl Standing {
    const fn word(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Wrong => "wrong",
            Self::Undecided => "undecided",
        }
    }
}

/// The verdict against the label, and the hang time found against the one that is known.
fn compared(truth: &Truth, check: &Check) -> (Standing, String) {
    let said = check.verdict.label.as_str();
    let (standing, mut words) = if said == truth.cause.as_str() {
        (Standing::Right, String::new())
    } else if said == "inconclusive" {
        (Standing::Undecided, String::new())
    } else {
        (Standing::Wrong, format!(" called {said}"))
    };
    let found = check.timeline.hang_time.map(|hang| hang.estimate);
    if let (Some(known), Some(Seconds(found))) = (truth.hang_time_s, found) {
        words += &format!(", hang time {known:.2} s, heard as {found:.2} s");
    }
    (standing, words)
}

fn listed(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(|e| io(folder, e))? {
        files.push(entry.map_err(|e| io(folder, e))?.path());
    }
    files.sort();
    Ok(files)
}

/// Names of the recordings with the files of their labels.
fn labelled(files: &[PathBuf]) -> impl Iterator<Item = (String, &PathBuf)> {
    files.iter().filter_map(|path| {
        let name = path.file_name()?.to_str()?.strip_suffix(LABELS)?;
        Some((name.to_owned(), path))
    })
}

fn read(labels: &Path) -> Result<Truth> {
    let text = std::fs::read(labels).map_err(|e| io(labels, e))?;
    Truth::read(&text).map_err(|what| Error::BadFile {
        file: labels.display().to_string(),
        what,
        remedy: "write it as tailbeat simulate or the desk's export does".into(),
    })
}

/// The one sound file of this name.
fn sound_of<'a>(files: &'a [PathBuf], name: &str, labels: &Path) -> Result<&'a Path> {
    let is_sound = |path: &&PathBuf| {
        let ending = path.extension().and_then(OsStr::to_str).unwrap_or_default();
        path.file_stem().and_then(OsStr::to_str) == Some(name) && !BESIDE.contains(&ending)
    };
    let mut found = files.iter().filter(is_sound);
    match (found.next(), found.next()) {
        (Some(sound), None) => Ok(sound),
        _ => Err(Error::BadFile {
            file: labels.display().to_string(),
            what: "not exactly one recording of this name lies beside it".into(),
            remedy: format!("put {name}.wav, or whatever it ends in, there"),
        }),
    }
}
