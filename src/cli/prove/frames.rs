//! Writes what the timeline's network is fitted on: every recording's frames with its labels.

use super::judging::Judged;
use super::making::io;
use crate::acoustics::Analyser;
use crate::acoustics::frames::{Frame, FrameBlock};
use crate::error::Result;
use crate::intake;
use rayon::prelude::*;
use serde_json::json;
use std::convert::Infallible;
use std::path::Path;

/// Columns of a frame in the file, in order: level, sub-audible level, the bands, tonality,
/// frequency of the strongest line, peak.
fn columns(frame: &Frame) -> impl Iterator<Item = f32> {
    [frame.level_db, frame.low_db]
        .into_iter()
        .chain(frame.bands_db)
        .chain([frame.tonality, frame.peak_hz, frame.peak])
}

/// Writes `NAME.f32` (little-endian, one row a frame) and `NAME.json` (labels and clock) for each.
pub fn write(folder: &Path, judged: &[Judged]) -> Result<()> {
    std::fs::create_dir_all(folder).map_err(|e| io(folder, e))?;
    judged.par_iter().try_for_each(|one| write_one(folder, one))
}

fn write_one(folder: &Path, one: &Judged) -> Result<()> {
    let mut recording = intake::open(&one.made.audio)?;
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
    let stem = one.outcome.name.replace([':', '@'], "-");
    let path = folder.join(format!("{stem}.f32"));
    std::fs::write(&path, &bytes).map_err(|e| io(&path, e))?;
    let path = folder.join(format!("{stem}.json"));
    let text = json!({
        "name": one.outcome.name,
        "chain": one.outcome.chain,
        "start_s": start_s,
        "period_s": period_s,
        "truth": one.made.truth,
    });
    std::fs::write(&path, text.to_string()).map_err(|e| io(&path, e))
}
