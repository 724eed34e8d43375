//! When each clip started: by one witness for all, so that one clock holds them together.

use super::list::Clip;
use crate::error::{Error, Result};
use crate::intake::decode::Decoder;
use crate::intake::source::Source;
use crate::intake::start::Moment;
use crate::tuning::intake::{CLIP_CLOCK_SLACK, CLIP_CLOCK_SLACK_SHARE, FILE_TIME_RESOLUTION};
use crate::units::Seconds;

/// Who tells the start, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Witness {
    /// The recorder itself, in a field made for it.
    Broadcast,
    /// The file's name.
    Name,
    /// Other metadata.
    Tags,
    /// The file's last change, taken for its end.
    FileTime,
}

/// A clip with its start.
pub(in crate::intake) struct Timed {
    pub clip: Clip,
    /// Start in civil time.
    pub start: Moment,
    /// Start after the first clip's.
    pub offset: Seconds,
}

/// Puts the clips in the order of their starts.
///
/// # Errors
/// No witness knows all clips; or two clips cannot both be true.
pub(super) fn order(clips: Vec<Clip>) -> Result<(Vec<Timed>, Seconds)> {
    let (witness, starts) = testimony(&clips)?;
    let zone_unclear = |clip: &Clip| Error::BadFile {
        file: clip.given.clone(),
        what: "some clips tell their offset from universal time and others do not".into(),
        remedy: "give clips of one recorder only".into(),
    };
    let mut resolution = starts.iter().map(|m| m.resolution.0).fold(0.0, f64::max);
    if witness == Witness::FileTime {
        resolution = resolution.max(file_time_resolution(&clips).0);
    }
    let Some(any) = starts.first().copied() else {
        return Ok((Vec::new(), Seconds(resolution)));
    };
    let mut timed = Vec::new();
    for (clip, start) in clips.into_iter().zip(starts) {
        let Some(offset) = start.since(&any) else {
            return Err(zone_unclear(&clip));
        };
        timed.push(Timed {
            clip,
            start,
            offset,
        });
    }
    timed.sort_by(|a, b| {
        a.offset
            .total_cmp(&b.offset)
            .then_with(|| a.clip.name.cmp(&b.clip.name))
    });
    let first = timed.first().map_or(Seconds(0.0), |timed| timed.offset);
    timed
        .iter_mut()
        .for_each(|timed| timed.offset = timed.offset - first);
    Ok((timed, Seconds(resolution)))
}

/// The best witness that knows every clip, and what it says.
fn testimony(clips: &[Clip]) -> Result<(Witness, Vec<Moment>)> {
    const WITNESSES: [Witness; 3] = [Witness::Broadcast, Witness::Name, Witness::Tags];
    for (index, witness) in WITNESSES.into_iter().enumerate() {
        let starts: Option<Vec<Moment>> = clips.iter().map(|clip| clip.starts[index]).collect();
        if let Some(starts) = starts {
            return Ok((witness, starts));
        }
    }
    // Some names with times and some without: the file times are no better than a guess then.
    let named = clips.iter().filter(|clip| clip.starts[1].is_some()).count();
    if let Some(odd) = clips.iter().find(|clip| clip.starts[1].is_none())
        && named > 0
    {
        return Err(Error::BadFile {
            file: odd.given.clone(),
            what: format!("its name tells no start time, while those of {named} other clips do"),
            remedy: "leave it out, or name it like the others (year first, to the second)".into(),
        });
    }
    let mut starts = Vec::new();
    for clip in clips {
        let unknown = || Error::BadFile {
            file: clip.given.clone(),
            what: "neither its name nor its metadata nor its file time tells when it started"
                .into(),
            remedy: "name the clips by their start, like 2026-04-12_18-30-55".into(),
        };
        let changed = clip.changed.ok_or_else(unknown)?;
        let length = match clip.expected {
            Some(length) => length,
            None => measure(clip)?,
        };
        starts.push(changed.later(-length).ok_or_else(unknown)?);
    }
    Ok((Witness::FileTime, starts))
}

/// Length by decoding, for a clip whose header does not tell.
fn measure(clip: &Clip) -> Result<Seconds> {
    let mut decoder = Decoder::open(&Source::on_disk(&clip.path)?)?;
    while decoder.next()?.is_some() {}
    Ok(decoder.length())
}

/// Some memory cards keep even seconds only.
fn file_time_resolution(clips: &[Clip]) -> Seconds {
    let even = clips
        .iter()
        .filter_map(|clip| clip.changed)
        .all(|time| time.second_of_day() % 2.0 == 0.0 && time.is_whole_second());
    if even && clips.len() >= 4 {
        Seconds(2.0)
    } else {
        FILE_TIME_RESOLUTION
    }
}

/// How far a clip may seem to start before the one before it has ended.
pub(super) fn forgiven(resolution: Seconds, length: Seconds) -> Seconds {
    resolution + CLIP_CLOCK_SLACK + length * CLIP_CLOCK_SLACK_SHARE
}

/// Two clips that cannot both be true.
pub(super) fn overlap(earlier: &Timed, later: &Timed, by: Seconds) -> Error {
    Error::BadFile {
        file: later.clip.given.clone(),
        what: format!(
            "it starts at {}, {:.1} s before {} has ended",
            later.start.rfc3339(),
            by.0,
            earlier.clip.name
        ),
        remedy: "give clips of one recorder only, with the times that the recorder gave them \
                 (copying can change file times)"
            .into(),
    }
}
