//! When a recording started in civil time: from its metadata, its name, or (for clips) its
//! file's time. Never guessed from digits that could mean something else.

mod moment;
mod tags;
mod text;

pub(super) use moment::Moment;
pub(super) use tags::{from_tags, read_id3};
pub(super) use text::find;
