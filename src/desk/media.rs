//! What a browser is told about an original.

/// Endings of names and the media types that browsers play. What is not among them is a file to
/// keep, never one to open.
const TYPES: [(&str, &str); 13] = [
    ("wav", "audio/wav"),
    ("mp3", "audio/mpeg"),
    ("m4a", "audio/mp4"),
    ("mp4", "audio/mp4"),
    ("aac", "audio/aac"),
    ("ogg", "audio/ogg"),
    ("oga", "audio/ogg"),
    ("opus", "audio/ogg"),
    ("webm", "audio/webm"),
    ("weba", "audio/webm"),
    ("flac", "audio/flac"),
    ("mka", "audio/x-matroska"),
    ("caf", "audio/x-caf"),
];

/// Of what is no sound by its name.
pub const UNKNOWN: &str = "application/octet-stream";

/// The media type by a file's name.
#[must_use]
pub fn type_of(file_name: &str) -> &'static str {
    let ending = file_name.rsplit_once('.').map_or("", |(_, ending)| ending);
    let found = TYPES
        .iter()
        .find(|(known, _)| ending.eq_ignore_ascii_case(known));
    found.map_or(UNKNOWN, |(_, media_type)| media_type)
}

/// What of a file is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// All of it.
    Whole,
    /// From the first to the last of these bytes.
    Bytes(u64, u64),
    /// Something beyond its end.
    Beyond,
}

/// The part of a file that a browser asks for, as RFC 9110 (section 14) writes it. A header of
/// another kind may be ignored.
#[must_use]
pub fn part(header: Option<&str>, length: u64) -> Part {
    let Some((first, last)) = header
        .and_then(|text| text.strip_prefix("bytes="))
        .filter(|list| !list.contains(','))
        .and_then(|one| one.trim().split_once('-'))
    else {
        return Part::Whole;
    };
    let end = length.saturating_sub(1);
    let (first, last) = match (first.parse::<u64>(), last.parse::<u64>()) {
        (Ok(first), Ok(last)) => (first, last.min(end)),
        (Ok(first), Err(_)) if last.is_empty() => (first, end),
        (Err(_), Ok(0)) if first.is_empty() => return Part::Beyond,
        (Err(_), Ok(tail)) if first.is_empty() => (length.saturating_sub(tail), end),
        _ => return Part::Whole,
    };
    if first >= length || first > last {
        return Part::Beyond;
    }
    Part::Bytes(first, last)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_sounds_are_played() {
        assert_eq!(type_of("Memo.M4A"), "audio/mp4");
        for name in ["x.html", "x.svg", "x", "", ".mp3.exe"] {
            assert_eq!(type_of(name), UNKNOWN, "{name}");
        }
    }

    #[test]
    fn parts_as_browsers_ask_for_them() {
        for (asked, got) in [
            ("bytes=0-", Part::Bytes(0, 9)),
            ("bytes=2-4", Part::Bytes(2, 4)),
            ("bytes=2-99", Part::Bytes(2, 9)),
            ("bytes=-3", Part::Bytes(7, 9)),
            ("bytes=-99", Part::Bytes(0, 9)),
            ("bytes=10-", Part::Beyond),
            ("bytes=5-4", Part::Beyond),
            ("bytes=-0", Part::Beyond),
            ("bytes=0-1,3-4", Part::Whole),
            ("lines=0-1", Part::Whole),
            ("bytes=x-y", Part::Whole),
        ] {
            assert_eq!(part(Some(asked), 10), got, "{asked}");
        }
        assert_eq!(part(None, 10), Part::Whole);
        assert_eq!(part(Some("bytes=0-"), 0), Part::Beyond);
    }
}
