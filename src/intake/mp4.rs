//! What symphonia's MP4 reader leaves out: the edit list, which tells the codec's delay and the
//! true length; the creation time; the name of a codec that has no decoder; and whether the
//! index is there at all. Layout: ISO/IEC 14496-12 (from memory).

use super::front::{Front, RECORD_AGAIN};
use super::source::Source;
use super::splice::Splice;
use super::start::Moment;
use crate::error::{Error, Result};
use crate::tuning::intake::LONGEST_CODEC_DELAY;
use crate::units::Seconds;
use std::io::{BufReader, Read, Seek, SeekFrom};
use symphonia::core::io::MediaSource;

/// Atoms looked at before the walk ends.
const MOST_ATOMS: usize = 4_096;

/// Atoms that hold others.
const BOXES: [&[u8; 4]; 6] = [b"moov", b"trak", b"edts", b"mdia", b"minf", b"stbl"];

/// Seconds from 1904, where these files begin to count, to 1970.
const FROM_1904_TO_1970_S: i128 = 2_082_844_800;

/// What the index tells of the first sound track.
#[derive(Debug, Default)]
struct Index {
    present: bool,
    /// Where the last part of the file ends by its own word.
    end: u64,
    movie_scale: u32,
    created: Option<Moment>,
    track: Option<Track>,
    sound: Option<Track>,
}

#[derive(Debug, Default, Clone)]
struct Track {
    scale: u32,
    is_sound: bool,
    /// Length shown, in the movie's units, and where it starts, in the track's.
    edit: Option<(u64, u64)>,
    code: [u8; 4],
    profile: Option<u8>,
}

/// Presents the file, and what its index told.
///
/// # Errors
/// There is no index, so nothing in the file can be found.
pub(super) fn present(source: &Source) -> Result<(Box<dyn MediaSource>, Front)> {
    let mut index = Index::default();
    let mut file = BufReader::with_capacity(4_096, source.open()?);
    let mut left = MOST_ATOMS;
    // A torn index is left to the reader proper, which says what it can do with it.
    let _ = walk(&mut file, 0, source.len, &mut index, &mut left);
    if !index.present {
        return Err(Error::BadFile {
            file: source.given.clone(),
            what: "its index (the 'moov' part) is missing, because the recording was cut off or \
                   copied before it was finished"
                .into(),
            remedy: "copy it again from the device once its app has closed it; without the index \
                     only a repair tool that has a sound file from the same device can help"
                .into(),
        });
    }
    let cut = index.end > source.len;
    let mut front = Front {
        container: "mp4",
        started: index.created,
        cut,
        ..Front::default()
    };
    if let Some(track) = index.sound {
        front.codec_hint = Some(track.codec());
        front.edit = track.edit(index.movie_scale);
    }
    let media = source.open()?;
    if !cut {
        return Ok((media, front));
    }
    // Symphonia does not begin on a part that is longer than the file, so it sees the length
    // that was meant, and finds the end when it comes there.
    let stretched = Splice::new(Vec::new(), media, 0, index.end);
    let stretched = stretched.map_err(|error| Error::io(&source.given, error))?;
    Ok((Box::new(stretched), front))
}

impl Track {
    /// Delay and shown length, in seconds. A start further in is somebody's cut.
    fn edit(&self, movie_scale: u32) -> Option<(Seconds, Seconds)> {
        let (length, start) = self.edit?;
        if self.scale == 0 || movie_scale == 0 {
            return None;
        }
        let start = Seconds(start as f64 / f64::from(self.scale));
        let length = Seconds(length as f64 / f64::from(movie_scale));
        (start.0 <= LONGEST_CODEC_DELAY.0).then_some((start, length))
    }

    fn codec(&self) -> String {
        let name = match (&self.code, self.profile) {
            (b"mp4a", Some(5)) => "HE-AAC in MP4",
            (b"mp4a", Some(29)) => "HE-AAC v2 in MP4",
            (b"mp4a", Some(23)) => "AAC-LD in MP4",
            (b"mp4a", Some(39)) => "AAC-ELD in MP4",
            (b"mp4a", Some(42)) => "xHE-AAC in MP4",
            (b"samr", _) => "AMR speech in MP4/3GP",
            (b"sawb", _) => "AMR wide-band speech in MP4/3GP",
            (b"sqcp" | b"sevc", _) => "QCELP or EVRC speech in 3GP",
            (b"agsm", _) => "GSM in MP4",
            (b"QDM2" | b"QDMC", _) => "QDesign audio",
            (code, _) => {
                return format!("sound coded as '{}' in MP4", code.escape_ascii());
            }
        };
        name.to_owned()
    }
}

type File = BufReader<Box<dyn MediaSource>>;

fn walk(
    file: &mut File,
    mut at: u64,
    end: u64,
    index: &mut Index,
    left: &mut usize,
) -> std::io::Result<()> {
    while at + 8 <= end && *left > 0 {
        *left -= 1;
        file.seek(SeekFrom::Start(at))?;
        let mut head = [0; 8];
        file.read_exact(&mut head)?;
        let [s0, s1, s2, s3, kind @ ..] = head;
        let mut body = at + 8;
        let size = match u32::from_be_bytes([s0, s1, s2, s3]) {
            0 => end - at,
            1 => {
                let mut long = [0; 8];
                file.read_exact(&mut long)?;
                body += 8;
                u64::from_be_bytes(long)
            }
            size => u64::from(size),
        };
        let next = at.saturating_add(size);
        if next < body {
            break;
        }
        index.end = index.end.max(next);
        let stop = next.min(end);
        index.present |= &kind == b"moov" || &kind == b"moof";
        if &kind == b"trak" {
            index.track = Some(Track::default());
        }
        if BOXES.contains(&&kind) {
            walk(file, body, stop, index, left)?;
        } else if matches!(&kind, b"mvhd" | b"mdhd" | b"hdlr" | b"elst" | b"stsd") {
            let mut bytes = vec![0; (stop - body).min(1_024) as usize];
            file.read_exact(&mut bytes)?;
            take(kind, &bytes, index);
        }
        if &kind == b"trak" {
            let sound = index.track.take().filter(|track| track.is_sound);
            index.sound = index.sound.take().or(sound);
        }
        at = next;
    }
    Ok(())
}

fn take(kind: [u8; 4], bytes: &[u8], index: &mut Index) -> Option<()> {
    let short = |at: usize| -> Option<u32> {
        Some(u32::from_be_bytes(*bytes.get(at..at + 4)?.first_chunk()?))
    };
    let long = |at: usize| -> Option<u64> {
        Some(u64::from_be_bytes(*bytes.get(at..at + 8)?.first_chunk()?))
    };
    let wide = *bytes.first()? == 1;
    match &kind {
        b"mvhd" => {
            let created = if wide { long(4)? } else { u64::from(short(4)?) };
            index.movie_scale = short(if wide { 20 } else { 12 })?;
            // Zero and years before any of these recorders mean that nobody set it.
            const YEAR_2000_S: i128 = 946_684_800;
            let since_1970 = i128::from(created) - FROM_1904_TO_1970_S;
            if since_1970 >= YEAR_2000_S {
                index.created =
                    Moment::from_unix_nanoseconds(since_1970 * 1_000_000_000, Seconds(1.0));
            }
        }
        b"mdhd" => index.track.as_mut()?.scale = short(if wide { 20 } else { 12 })?,
        b"hdlr" => index.track.as_mut()?.is_sound = bytes.get(8..12)? == b"soun",
        b"elst" => {
            let count = short(4)?;
            let (mut at, step) = (8, if wide { 20 } else { 12 });
            for _ in 0..count.min(16) {
                let (length, start) = if wide {
                    (long(at)?, long(at + 8)? as i64)
                } else {
                    (u64::from(short(at)?), i64::from(short(at + 4)? as i32))
                };
                // A negative start is a pause before the track, not part of it.
                if let Ok(start) = u64::try_from(start) {
                    index.track.as_mut()?.edit.get_or_insert((length, start));
                }
                at += step;
            }
        }
        b"stsd" => {
            let track = index.track.as_mut()?;
            track.code = *bytes.get(12..16)?.first_chunk()?;
            track.profile = profile(bytes);
        }
        _ => {}
    }
    Some(())
}

/// The object type of the AAC description, the first five bits behind its marker.
fn profile(bytes: &[u8]) -> Option<u8> {
    let from = bytes.windows(4).position(|four| four == b"esds")? + 8;
    let mut rest = bytes.get(from..)?;
    while let [tag, after @ ..] = rest {
        let lengths = after.iter().take(3).take_while(|c| **c & 0x80 != 0).count() + 1;
        let body = after.get(lengths..)?;
        rest = match tag {
            0x03 => body.get(3..)?,
            0x04 => body.get(13..)?,
            0x05 => {
                let first = body.first()? >> 3;
                // 31 says that six more bits tell.
                let more = || Some(32 + ((body[0] & 7) << 3 | body.get(1)? >> 5));
                return if first == 31 { more() } else { Some(first) };
            }
            _ => return None,
        };
    }
    None
}

/// The remedy for an index that is there but torn.
pub(super) fn torn(given: &str) -> Error {
    Error::BadFile {
        file: given.to_owned(),
        what: "its index (the 'moov' part) is damaged".into(),
        remedy: RECORD_AGAIN.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn index_with(kind: &[u8; 4], bytes: &[u8]) -> Index {
        let mut index = Index {
            track: Some(Track::default()),
            ..Index::default()
        };
        take(*kind, bytes, &mut index);
        index
    }

    #[test]
    fn the_first_edit_that_is_no_pause_gives_the_delay() {
        let mut list = vec![0, 0, 0, 0, 0, 0, 0, 2];
        list.extend([0, 0, 0, 9, 0xff, 0xff, 0xff, 0xff, 0, 1, 0, 0]);
        list.extend([0, 0, 0x19, 0x64, 0, 0, 4, 0, 0, 1, 0, 0]);
        let index = index_with(b"elst", &list);
        assert_eq!(
            index.track.and_then(|track| track.edit),
            Some((6_500, 1_024))
        );
    }

    #[test]
    fn creation_counts_from_1904_and_zero_is_not_set() {
        let created = |seconds: u32| {
            let mut header = vec![0; 20];
            header[4..8].copy_from_slice(&seconds.to_be_bytes());
            index_with(b"mvhd", &header)
                .created
                .map(|moment| moment.rfc3339())
        };
        assert_eq!(created(0), None);
        // 2 082 844 800 s to 1970, and 1 776 018 655 s on.
        assert_eq!(
            created(3_858_863_455).as_deref(),
            Some("2026-04-12T18:30:55Z")
        );
    }

    #[test]
    fn the_object_type_of_aac_is_found() {
        let mut entry =
            b"\0\0\0\0esds\0\0\0\0\x03\x80\x80\x80\x22\0\x01\0\x04\x80\x80\x80\x14".to_vec();
        entry.extend([0x40, 0x15, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
        entry.extend([0x05, 0x02, 0x2b, 0x92]);
        assert_eq!(profile(&entry), Some(5));
    }
}
