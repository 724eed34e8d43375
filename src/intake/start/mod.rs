//! When a recording started in civil time: from its metadata, its name, or (for clips) its
//! file's time. Never guessed from digits that could mean something else.

mod moment;
mod tags;
mod text;

use super::front::Front;
pub(super) use moment::Moment;
pub(super) use tags::{from_tags, read_id3};
pub(super) use text::find;

/// The start of one file: by the recorder's own field, its name, or other metadata.
pub(super) fn of_file(name: &str, front: &Front) -> Option<Moment> {
    match front.started.filter(|_| front.started_is_sure) {
        Some(sure) => Some(sure),
        None => find(name).or(front.started),
    }
}
