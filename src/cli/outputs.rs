//! The files of `--out`.

use super::source::Source;
use super::{play, whole};
use crate::check::Check;
use crate::error::{Error, Result};
use crate::intake::recording::Recording;
use crate::present::picture::{self, Options, Theme};
use crate::present::tables::{csv, markers, vtt};
use crate::present::{html, json};
use std::io::Write;
use std::path::Path;

/// The copy with markers.
const MARKERS: &str = "markers.wav";

/// Writes all files of one check into `dir`, which is made where it is missing.
///
/// # Errors
/// A file cannot be written, or the recording not be read once more.
pub fn write(source: &Source, check: &Check, dir: &Path, with_markers: bool) -> Result<()> {
    std::fs::create_dir_all(dir).map_err(|f| Error::io(dir.display().to_string(), f))?;
    let put = |name: &str, bytes: &[u8]| {
        let path = dir.join(name);
        std::fs::write(&path, bytes).map_err(|f| Error::io(path.display().to_string(), f))
    };
    let path = dir.join("check.json");
    whole::write_with(&path, |out| {
        json::write_check(check, &mut *out)
            .and_then(|()| out.write_all(b"\n"))
            .map_err(|f| Error::io(path.display().to_string(), f))
    })?;
    put("events.csv", &csv::render(check))?;
    put("events.vtt", vtt::render(check).as_bytes())?;
    put(
        "timeline.svg",
        picture::svg(check, Options::default()).as_bytes(),
    )?;
    put("timeline.png", &picture::png(check, Theme::Light)?)?;
    if with_markers {
        copy_with_markers(source.open()?, check, &dir.join(MARKERS))?;
    }
    let sound = play::choose(source, check, dir, with_markers.then_some(MARKERS))?;
    put("report.html", html::render(check, sound.sound()).as_bytes())
}

/// Reads the recording once more and writes it with its events as cue markers.
fn copy_with_markers(mut recording: Box<dyn Recording>, check: &Check, path: &Path) -> Result<()> {
    let name = path.display().to_string();
    let rate = recording.rate();
    let file = std::fs::File::create(path).map_err(|fault| Error::io(&name, fault))?;
    let mut out = std::io::BufWriter::new(file);
    let mut first = None;
    let mut held = match recording.next_block()? {
        Some(block) => {
            first = Some(block.start);
            Some(block.samples.to_vec())
        }
        None => None,
    };
    let blocks = std::iter::from_fn(|| {
        let ready = held.take()?;
        match recording.next_block() {
            Ok(next) => {
                held = next.map(|block| block.samples.to_vec());
                Some(Ok(ready))
            }
            Err(fault) => Some(Err(fault)),
        }
    });
    let list = markers::markers(check, rate, first.unwrap_or_default());
    markers::write(markers::Form::Wav, &mut out, &name, rate, blocks, &list)?;
    Ok(())
}
