//! How the page is to play the recording.

use super::source::Source;
use crate::check::Check;
use crate::error::{Error, Result};
use crate::present::html::Sound;
use crate::tuning::present::EMBED_BYTES;
use std::path::{Component, Path, PathBuf};

/// Sound for a page, kept until the page is written.
pub enum Kept {
    /// Goes into the page.
    Embedded(&'static str, Vec<u8>),
    /// Stands beside it, by its relative path.
    Linked(String),
    /// Nothing to play.
    Nothing,
}

impl Kept {
    /// As the page wants it.
    pub fn sound(&self) -> Sound<'_> {
        match self {
            Self::Embedded(media_type, bytes) => Sound::Embedded { media_type, bytes },
            Self::Linked(path) => Sound::Linked { path },
            Self::Nothing => Sound::None,
        }
    }
}

/// Media type of a container that browsers play.
fn media_type(container: &str) -> Option<&'static str> {
    match container {
        "wav" => Some("audio/wav"),
        "mp3" => Some("audio/mpeg"),
        "mp4" => Some("audio/mp4"),
        "adts" => Some("audio/aac"),
        "ogg" => Some("audio/ogg"),
        "webm" => Some("audio/webm"),
        "flac" => Some("audio/flac"),
        _ => None,
    }
}

/// In the page where it is small and of a kind that browsers play; else the copy with markers,
/// where there is one; else a link to the file. A long standard input is kept beside the page.
///
/// # Errors
/// The recording cannot be read, or not be kept.
pub fn choose(source: &Source, check: &Check, dir: &Path, markers: Option<&str>) -> Result<Kept> {
    let plays = media_type(&check.recording.container);
    if let Some(media_type) = plays
        && let Some(bytes) = source.bytes(EMBED_BYTES)?
    {
        return Ok(Kept::Embedded(media_type, bytes));
    }
    if let Some(copy) = markers {
        return Ok(Kept::Linked(copy.into()));
    }
    match source {
        Source::File(path) => Ok(relative(dir, path).map_or(Kept::Nothing, Kept::Linked)),
        Source::Clips(_) => Ok(Kept::Nothing),
        Source::Stdin(_) => {
            let name = format!("recording.{}", check.recording.container);
            let path = dir.join(&name);
            let io = |fault| Error::io(path.display().to_string(), fault);
            let mut out = std::fs::File::create(&path).map_err(io)?;
            std::io::copy(&mut source.stdin()?, &mut out).map_err(io)?;
            Ok(Kept::Linked(name))
        }
    }
}

/// Path of `file` as seen from `dir`, with `/` between folders; `None` where there is none (other
/// drives) or where it is not text.
fn relative(dir: &Path, file: &Path) -> Option<String> {
    let (dir, file) = (dir.canonicalize().ok()?, file.canonicalize().ok()?);
    let mut from = dir.components().peekable();
    let mut to = file.components().peekable();
    while from.peek().is_some() && from.peek() == to.peek() {
        from.next();
        to.next();
    }
    let up = from.map(|_| Component::ParentDir);
    let path: PathBuf = up.chain(to).collect();
    if path.is_absolute() {
        return None;
    }
    let parts: Option<Vec<&str>> = path.components().map(|c| c.as_os_str().to_str()).collect();
    Some(parts?.join("/"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_link_climbs_to_the_common_folder_and_down_again() {
        let root = tempfile::tempdir().unwrap();
        let out = root.path().join("a/out");
        std::fs::create_dir_all(&out).unwrap();
        let file = root.path().join("talk 1.wav");
        std::fs::write(&file, b"x").unwrap();
        assert_eq!(relative(&out, &file).unwrap(), "../../talk 1.wav");
        let inside = out.join("b.wav");
        std::fs::write(&inside, b"x").unwrap();
        assert_eq!(relative(&out, &inside).unwrap(), "b.wav");
    }
}
