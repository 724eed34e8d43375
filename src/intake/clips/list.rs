//! The files: folders are walked, and what is no recording is left out with its reason.

use crate::error::{Error, Result};
use crate::intake::decode::Decoder;
use crate::intake::recording::SkippedClip;
use crate::intake::source::{Source, short_name};
use crate::intake::start::{self, Moment};
use crate::tuning::intake::DEEPEST_CLIP_FOLDER;
use crate::units::{SampleRate, Seconds};
use std::path::{Path, PathBuf};

/// One clip as its header tells it.
pub(in crate::intake) struct Clip {
    pub path: PathBuf,
    /// What errors call it.
    pub given: String,
    pub name: String,
    pub rate: SampleRate,
    pub channels: usize,
    pub container: &'static str,
    pub codec: &'static str,
    /// Length by the header.
    pub expected: Option<Seconds>,
    /// Start by each kind of witness, in the order of [`Witness`](super::timing::Witness).
    pub starts: [Option<Moment>; 3],
    /// Last change of the file.
    pub changed: Option<Moment>,
}

/// All recordings among the paths, and what was left out.
///
/// # Errors
/// A path cannot be read, or none is a recording.
pub(super) fn gather(
    paths: &[PathBuf],
    given: &dyn Fn(&Path) -> String,
) -> Result<(Vec<Clip>, Vec<SkippedClip>)> {
    let mut files = Vec::new();
    for path in paths {
        walk(path, 0, &mut files)?;
    }
    files.sort();
    files.dedup();
    let (mut clips, mut skipped) = (Vec::new(), Vec::new());
    for path in files {
        let given = given(&path);
        match look(&path, &given) {
            Ok(clip) => clips.push(clip),
            Err(Error::Io { file, source }) => return Err(Error::Io { file, source }),
            Err(error) => {
                let name = short_name(&path);
                let reason = error.to_string();
                let given = format!("{given}: ");
                let reason = reason.strip_prefix(&given).unwrap_or(&reason).to_owned();
                skipped.push(SkippedClip { name, reason });
            }
        }
    }
    if clips.is_empty() {
        let file = paths.first().map_or_else(|| "--clips".into(), |p| given(p));
        let why = skipped
            .first()
            .map_or_else(String::new, |s| format!(" ({}: {})", s.name, s.reason));
        return Err(Error::BadFile {
            file,
            what: format!("there is no recording in it{why}"),
            remedy: "name the folder that holds the recorder's sound files".into(),
        });
    }
    Ok((clips, skipped))
}

fn walk(path: &Path, depth: usize, files: &mut Vec<PathBuf>) -> Result<()> {
    let failed = |source| Error::io(path.display().to_string(), source);
    if !std::fs::metadata(path).map_err(failed)?.is_dir() {
        files.push(path.to_owned());
        return Ok(());
    }
    if depth > DEEPEST_CLIP_FOLDER {
        return Ok(());
    }
    for entry in std::fs::read_dir(path).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        // Hidden files are the system's, not the recorder's.
        if !entry.file_name().to_string_lossy().starts_with('.') {
            walk(&entry.path(), depth + 1, files)?;
        }
    }
    Ok(())
}

fn look(path: &Path, given: &str) -> Result<Clip> {
    let mut source = Source::on_disk(path)?;
    source.given = given.to_owned();
    let decoder = Decoder::open(&source)?;
    let changed = std::fs::metadata(path)
        .and_then(|facts| facts.modified())
        .ok();
    let changed = changed.and_then(|time| {
        let since = time.duration_since(std::time::UNIX_EPOCH).ok()?;
        Moment::from_unix_nanoseconds(i128::try_from(since.as_nanos()).ok()?, Seconds(1.0))
    });
    let by_header = decoder.front.started;
    let sure = decoder.front.started_is_sure;
    Ok(Clip {
        path: path.to_owned(),
        given: given.to_owned(),
        name: source.name.clone(),
        rate: decoder.rate,
        channels: decoder.channels(),
        container: decoder.front.container,
        codec: decoder.codec_name,
        expected: decoder
            .expected
            .filter(|_| !decoder.front.estimated)
            .map(|frames| decoder.rate.samples_to_seconds(frames)),
        starts: [
            by_header.filter(|_| sure),
            start::find(&source.name),
            by_header.filter(|_| !sure),
        ],
        changed,
    })
}
