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

/// A part of a file that a browser asks for, as RFC 9110 (section 14) writes it: first and last
/// byte. `None` where there is no such header, or one of another kind, which may be ignored.
///
/// # Errors
/// It lies beyond the end.
pub fn part(header: Option<&str>, length: u64) -> Result<Option<(u64, u64)>, ()> {
    let Some((first, last)) = header
        .and_then(|text| text.strip_prefix("bytes="))
        .filter(|list| !list.contains(','))
        .and_then(|one| one.trim().split_once('-'))
    else {
        return Ok(None);
    };
    let (first, last) = match (first.parse::<u64>(), last.parse::<u64>()) {
        (Ok(first), Ok(last)) => (first, last.min(length.saturating_sub(1))),
        (Ok(first), Err(_)) if last.is_empty() => (first, length.saturating_sub(1)),
        (Err(_), Ok(tail)) if first.is_empty() && tail > 0 => {
            (length.saturating_sub(tail), length.saturating_sub(1))
        }
        (Err(_), Ok(_)) if first.is_empty() => return Err(()),
        _ => return Ok(None),
    };
    if first >= length || first > last {
        return Err(());
    }
    Ok(Some((first, last)))
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
        assert_eq!(part(None, 10), Ok(None));
        assert_eq!(part(Some("bytes=0-"), 10), Ok(Some((0, 9))));
        assert_eq!(part(Some("bytes=2-4"), 10), Ok(Some((2, 4))));
        assert_eq!(part(Some("bytes=2-99"), 10), Ok(Some((2, 9))));
        assert_eq!(part(Some("bytes=-3"), 10), Ok(Some((7, 9))));
        assert_eq!(part(Some("bytes=-99"), 10), Ok(Some((0, 9))));
        assert_eq!(part(Some("bytes=10-"), 10), Err(()));
        assert_eq!(part(Some("bytes=-0"), 10), Err(()));
        assert_eq!(part(Some("bytes=0-1,3-4"), 10), Ok(None));
        assert_eq!(part(Some("lines=0-1"), 10), Ok(None));
        assert_eq!(part(Some("bytes=x-y"), 10), Ok(None));
    }
}
