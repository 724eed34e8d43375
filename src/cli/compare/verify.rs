//! `tailbeat compare --verify`: the evidence hashed again, and compared again.

use super::exhibits::read_all;
use super::{leaflet, sha256};
use crate::cli::leaflet::{Form, SCALE, print, refuse};
use crate::cli::{FAILED, leaflet::text_of};
use crate::compare::verification::{Looked, Rerun, State, Verification};
use crate::compare::{Stated, compare};
use crate::error::{Error, Result};
use crate::present::compare::dossier::{PAGE, RESULT};
use crate::present::compare::{CompareJson, VerifyJson, differences, verification_leaf};
use crate::present::picture::raster;
use crate::present::site::json;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Verifies and prints; succeeds only where everything holds.
pub fn run(dossier: &Path, evidence: &[PathBuf], form: &Form) -> ExitCode {
    match verify(dossier, evidence) {
        Ok(found) => {
            let line = json::line(&VerifyJson::from(&found));
            let said = print(&verification_leaf(&found), &line, form);
            if found.holds() {
                said
            } else {
                ExitCode::from(FAILED)
            }
        }
        Err(fault) => refuse(&fault),
    }
}

fn verify(dossier: &Path, evidence: &[PathBuf]) -> Result<Verification> {
    let result = if dossier.is_dir() {
        dossier.join(RESULT)
    } else {
        dossier.to_path_buf()
    };
    let (name, text) = text_of(&result)?;
    let saved: serde_json::Value =
        serde_json::from_str(&text).map_err(|fault| no(&name, &fault))?;
    let form: CompareJson =
        serde_json::from_value(saved.clone()).map_err(|fault| no(&name, &fault))?;
    let folders = folders(&result, evidence);
    let mut files = Vec::new();
    let (mut exhibits, mut behind) = (Vec::new(), Vec::new());
    for exhibit in form.before.exhibits.iter().chain(&form.after.exhibits) {
        let (looked, at) = look(&exhibit.file, &exhibit.sha256, &folders)?;
        exhibits.push(looked);
        files.extend(at.map(|path| (path, exhibit.file.clone())));
        for (recording, digest) in exhibit.recordings_behind() {
            behind.push(look(recording, digest, &folders)?.0);
        }
    }
    let mut pages = Vec::new();
    let rerun = if exhibits.iter().all(|l| l.state.is_same()) {
        match again(&form, files) {
            Ok(made) => {
                let value = serde_json::to_value(CompareJson::from(&made));
                let value = value.map_err(|fault| no(&name, &fault))?;
                let differences = differences(&saved, &value);
                let version = env!("CARGO_PKG_VERSION").to_owned();
                // Another version may word and draw otherwise.
                if differences.is_empty() && version == form.program_version {
                    pages = beside(&made, &result, &text)?;
                }
                Rerun::Done {
                    saved_by: form.program_version,
                    version,
                    differences,
                }
            }
            Err(fault) => Rerun::Failed {
                why: fault.to_string(),
            },
        }
    } else {
        Rerun::NotDone
    };
    Ok(Verification {
        result: name,
        exhibits,
        behind,
        pages,
        rerun,
    })
}

fn no(name: &str, fault: &serde_json::Error) -> Error {
    Error::BadFile {
        file: name.into(),
        what: format!("this is no result of `compare` ({fault})"),
        remedy: "name the folder that `compare --out` wrote, or its compare.json".into(),
    }
}

/// Where evidence is looked for, first things first.
fn folders(result: &Path, evidence: &[PathBuf]) -> Vec<PathBuf> {
    let beside = match result.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
        _ => PathBuf::from("."),
    };
    let mut list = vec![PathBuf::new()];
    list.extend(evidence.iter().cloned());
    list.extend([beside.clone(), beside.join("..")]);
    list
}

/// Looks for a file by its name, with its folders and without; the right bytes win.
fn look(file: &str, digest: &str, folders: &[PathBuf]) -> Result<(Looked, Option<PathBuf>)> {
    let bare = file.rsplit('/').next().unwrap_or(file);
    let mut state = State::Missing;
    for folder in folders {
        for name in [file, bare] {
            let path = folder.join(name);
            if !path.is_file() {
                continue;
            }
            let at = path.display().to_string();
            if hash(&path)? == digest {
                let looked = Looked {
                    file: file.into(),
                    state: State::Same { at },
                };
                return Ok((looked, Some(path)));
            }
            if state == State::Missing {
                state = State::Changed { at };
            }
        }
    }
    let file = file.into();
    Ok((Looked { file, state }, None))
}

/// SHA-256 of a file of any length.
fn hash(path: &Path) -> Result<String> {
    use sha2::Digest;
    let io = |fault| Error::io(path.display().to_string(), fault);
    let mut file = std::fs::File::open(path).map_err(io)?;
    let mut digest = sha2::Sha256::new();
    let mut step = vec![0; 1 << 16];
    loop {
        match file.read(&mut step) {
            Ok(0) => break,
            Ok(got) => digest.update(&step[..got]),
            Err(fault) if fault.kind() == std::io::ErrorKind::Interrupted => {}
            Err(fault) => return Err(io(fault)),
        }
    }
    Ok(digest
        .finalize()
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect())
}

fn again(form: &CompareJson, files: Vec<(PathBuf, String)>) -> Result<crate::compare::Comparison> {
    let mut all = read_all(&files)?;
    let after = all.split_off(form.before.exhibits.len());
    let stated = Stated {
        station: form.stated.station.clone(),
        work: form.stated.work.clone(),
    };
    compare(all, after, stated)
}

/// Page and pictures beside the result against those made once more.
fn beside(made: &crate::compare::Comparison, result: &Path, text: &str) -> Result<Vec<Looked>> {
    let fresh = leaflet(made);
    let mut want: Vec<(String, Vec<u8>)> = Vec::new();
    if sha256(text.as_bytes()) == sha256(format!("{}\n", fresh.json).as_bytes()) {
        want.extend(
            fresh
                .page
                .map(|(_, page)| (PAGE.to_owned(), page.into_bytes())),
        );
    }
    for picture in fresh.pictures {
        want.push((format!("{}.svg", picture.name), picture.auto.into_bytes()));
        want.push((
            format!("{}.png", picture.name),
            raster::png(&picture.light, SCALE)?,
        ));
    }
    let mut list = Vec::new();
    for (name, bytes) in want {
        let path = result.with_file_name(&name);
        let at = path.display().to_string();
        let state = match std::fs::read(&path) {
            Ok(there) if there == bytes => State::Same { at },
            Ok(_) => State::Changed { at },
            Err(_) => continue,
        };
        list.push(Looked { file: name, state });
    }
    Ok(list)
}
