//! Clips of a voice-activated recorder on one clock: each transmission a file, zeros between
//! them. What the recorder cut away is unknown, so gaps are only as good as its clock.

mod group;
mod list;
mod timing;

pub(super) use group::Group;
