//! Dates among the tags that symphonia read.

use super::{Moment, find};
use symphonia::core::formats::FormatReader;
use symphonia::core::io::{MediaSource, MediaSourceStream};
use symphonia::core::meta::{MetadataLog, MetadataOptions, MetadataReader, RawValue, Tag};

/// Names of tags that tell when the sound was recorded, the surest first.
const NAMES: [&str; 8] = [
    "TDRC",
    "DATE_RECORDED",
    "com.apple.quicktime.creationdate",
    "recorded date",
    "creation_time",
    "DATE",
    "©day",
    "TDRL",
];

/// The moment that the tags tell, if they do.
pub(in crate::intake) fn from_tags(reader: &mut dyn FormatReader) -> Option<Moment> {
    let mut log = reader.metadata();
    let mut tags: Vec<Tag> = Vec::new();
    loop {
        if let Some(revision) = log.current() {
            tags.extend(revision.media.tags.iter().cloned());
            tags.extend(
                revision
                    .per_track
                    .iter()
                    .flat_map(|track| track.metadata.tags.clone()),
            );
        }
        if log.pop().is_none() {
            break;
        }
    }
    // Matroska's keys begin with what they are about: "ALBUM@DATE".
    let named = |tag: &Tag, name: &str| {
        let key = tag.raw.key.rsplit('@').next().unwrap_or_default();
        key.eq_ignore_ascii_case(name)
    };
    let text = |name: &str| {
        let tag = tags.iter().find(|tag| named(tag, name))?;
        match &tag.raw.value {
            RawValue::String(text) => Some(text.to_string()),
            RawValue::StringList(texts) => texts.first().cloned(),
            _ => None,
        }
    };
    NAMES.iter().find_map(|name| find(&text(name)?))
}

/// Reads an `ID3` tag into the log; one that symphonia cannot read is left out.
pub(in crate::intake) fn read_id3(tag: Box<dyn MediaSource>, log: &mut MetadataLog) {
    let stream = MediaSourceStream::new(tag, Default::default());
    let options = MetadataOptions::default();
    let read = symphonia::default::meta::Id3v2Reader::try_new(stream, options)
        .and_then(|mut reader| reader.read_all());
    if let Ok(read) = read {
        log.push(read.revision);
    }
}
