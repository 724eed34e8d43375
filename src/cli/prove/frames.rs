//! Writes what the timeline's network is fitted on: every recording's frames with its labels.

use super::making::{MadeFiles, io, replace};
use crate::acoustics::Analyser;
use crate::acoustics::frames::{Frame, FrameBlock};
use crate::error::Result;
use crate::intake;
use crate::proving::corpus::Cell;
use serde_json::json;
use std::convert::Infallible;
use std::path::{Path, PathBuf};

/// Columns of a frame in the file, in order: level, sub-audible level, the bands, tonality,
/// frequency of the strongest line, peak.
fn columns(frame: &Frame) -> impl Iterator<Item = f32> {
    [frame.level_db, frame.low_db]
        .into_iter()
        .chain(frame.bands_db)
        .chain([frame.tonality, frame.peak_hz, frame.peak])
}

/// Writes `NAME.f32` (little-endian, one row a frame) and `NAME.json` (labels and clock) of the
/// recording that `make` makes, unless both are there whole; gives their paths.
pub fn write(
    folder: &Path,
    cell: &Cell,
    make: impl FnOnce() -> Result<MadeFiles>,
) -> Result<[PathBuf; 2]> {
    let name = cell.to_string();
    let stem = name.replace([':', '@'], "-");
    let paths = ["f32", "json"].map(|ending| folder.join(format!("{stem}.{ending}")));
    if paths.iter().all(|path| path.is_file()) {
        return Ok(paths);
    }
    let made = make()?;
    std::fs::create_dir_all(folder).map_err(|e| io(folder, e))?;
    let mut recording = intake::open(&made.audio)?;
    let mut analyser = Analyser::new(recording.rate());
    let mut bytes = Vec::new();
    let mut from = 0.0;
    let (mut start_s, mut period_s) = (0.0, 0.0);
    // Blocks repeat the end of the one before: each frame is taken once.
    let mut take = |block: &FrameBlock| -> Result<(), Infallible> {
        if bytes.is_empty() {
            (start_s, period_s) = (block.start.get(), block.period.get());
        }
        for (i, frame) in block.frames.iter().enumerate() {
            let t = block.time_of(i).get();
            if t >= from - 1e-6 {
                bytes.extend(columns(frame).flat_map(f32::to_le_bytes));
                from = t + block.period.get();
            }
        }
        Ok(())
    };
    while let Some(block) = recording.next_block()? {
        let Ok(()) = analyser.push(block.samples, &mut take);
    }
    let (last, _) = analyser.finish();
    let Ok(()) = take(&last);
    replace(&paths[0], &bytes)?;
    let text = json!({
        "name": name,
        "chain": cell.chain,
        "start_s": start_s,
        "period_s": period_s,
        "truth": made.truth,
    });
    replace(&paths[1], text.to_string().as_bytes())?;
    Ok(paths)
}
