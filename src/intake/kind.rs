//! What a file is by its first bytes, and a clear word for those that cannot be read here.

use super::front::{self, CONVERT};
use crate::error::{Error, Result};

/// Bytes that tell.
pub(super) const HEAD_BYTES: usize = 4_096;

/// Families that are opened in their own ways.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// WAV, RF64, BW64.
    Wave,
    /// AIFF, AIFF-C.
    Aiff,
    /// MP4, M4A, MOV, 3GP.
    Mp4,
    /// Matroska and WebM.
    Matroska,
    /// Ogg with any codec.
    Ogg,
    /// FLAC, CAF: left to symphonia.
    Other(&'static str),
    /// Perhaps MP3 or raw AAC, perhaps nothing.
    Frames,
}

/// Formats without a reader here: offset, bytes, name.
const UNREADABLE: &[(usize, &[u8], &str)] = &[
    (0, b"#!AMR", "AMR speech"),
    (0, b".snd", "a Sun/NeXT AU file"),
    (
        0,
        &[0x30, 0x26, 0xb2, 0x75, 0x8e, 0x66, 0xcf, 0x11],
        "Windows Media Audio (ASF)",
    ),
    (0, b"riff\x2e\x91\xcf\x11", "Sony Wave64"),
    (0, b"RIFX", "big-endian WAV (RIFX)"),
    (0, b"wvpk", "WavPack"),
    (0, b"MAC ", "Monkey's Audio"),
    (0, b"MPCK", "Musepack"),
    (0, b"TTA1", "True Audio"),
    (0, b".RMF", "RealMedia"),
    (0, b".ra\xfd", "RealAudio"),
    (0, b"MThd", "a MIDI file"),
    (0, b"DSD ", "DSD audio"),
    (0, b"FLV\x01", "Flash video"),
    (0, b"caff\x00\x02", "a newer CAF version"),
    (0, b"Creative Voice File", "Creative Voice"),
    (28, b"Speex   ", "Speex in Ogg"),
    (8, b"AVI ", "an AVI video"),
];

/// Things that are no sound at all: bytes, name, what to do.
const NO_SOUND: &[(&[u8], &str, &str)] = &[
    (b"PK\x03\x04", "a ZIP archive", "unpack it first"),
    (b"\x1f\x8b", "a gzip archive", "unpack it first"),
    (b"7z\xbc\xaf", "a 7z archive", "unpack it first"),
    (b"Rar!", "a RAR archive", "unpack it first"),
    (b"%PDF", "a PDF document", "choose the recording itself"),
    (b"\x89PNG", "a picture", "choose the recording itself"),
    (b"\xff\xd8\xff", "a picture", "choose the recording itself"),
    (b"GIF8", "a picture", "choose the recording itself"),
    (b"\x7fELF", "a program", "choose the recording itself"),
    (
        b"SQLite format 3",
        "a database",
        "choose the recording itself",
    ),
    (
        b"version https://git-lfs",
        "a placeholder for a large file",
        "fetch the file itself first",
    ),
];

/// Tells the kind.
///
/// # Errors
/// A kind that is known and cannot be read, by its name.
pub(super) fn tell(head: &[u8], given: &str) -> Result<Kind> {
    let at = |offset: usize, bytes: &[u8]| head.get(offset..).is_some_and(|h| h.starts_with(bytes));
    if let Some((.., name)) = UNREADABLE
        .iter()
        .find(|(offset, bytes, _)| at(*offset, bytes))
    {
        return Err(Error::Unsupported {
            file: given.to_owned(),
            what: (*name).to_owned(),
            remedy: CONVERT.into(),
        });
    }
    if let Some((_, name, remedy)) = NO_SOUND.iter().find(|(bytes, ..)| at(0, bytes)) {
        return Err(Error::BadFile {
            file: given.to_owned(),
            what: format!("this is {name}, not a sound recording"),
            remedy: (*remedy).to_owned(),
        });
    }
    Ok(if super::riff::is_wave(head) {
        Kind::Wave
    } else if at(4, b"ftyp") || at(4, b"moov") || at(4, b"mdat") || at(4, b"wide") {
        Kind::Mp4
    } else if at(0, &[0x1a, 0x45, 0xdf, 0xa3]) {
        Kind::Matroska
    } else if at(0, b"OggS") {
        Kind::Ogg
    } else if at(0, b"fLaC") {
        Kind::Other("flac")
    } else if at(0, b"FORM") && (at(8, b"AIFF") || at(8, b"AIFC")) {
        Kind::Aiff
    } else if at(0, b"caff") {
        Kind::Other("caf")
    } else {
        Kind::Frames
    })
}

/// The error for what is nothing known.
pub(super) fn no_recording(given: &str) -> Error {
    Error::BadFile {
        file: given.to_owned(),
        what: "this is not a sound recording in any format known here".into(),
        remedy: front::CONVERT.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_that_cannot_be_read_are_named_with_a_remedy() {
        for (head, word) in [
            (&b"#!AMR\n\x3c"[..], "AMR"),
            (b".snd\0\0\0\x18", "AU"),
            (b"PK\x03\x04rest", "unpack"),
            (b"RIFF\0\0\0\0AVI LIST", "AVI"),
        ] {
            let line = tell(head, "box/tape.xyz").expect_err(word).to_string();
            assert!(
                line.starts_with("box/tape.xyz: ") && line.contains(word),
                "{line}"
            );
        }
    }

    #[test]
    fn known_kinds_are_told_apart() {
        assert_eq!(
            tell(b"RF64\xff\xff\xff\xffWAVEds64", "x").ok(),
            Some(Kind::Wave)
        );
        assert_eq!(tell(b"\0\0\0\x18ftypM4A ", "x").ok(), Some(Kind::Mp4));
        assert_eq!(tell(b"FORM\0\0\0\0AIFCFVER", "x").ok(), Some(Kind::Aiff));
        assert_eq!(tell(b"\xff\xfb\x90\x00", "x").ok(), Some(Kind::Frames));
        assert_eq!(tell(b"", "x").ok(), Some(Kind::Frames));
    }
}
