//! Frames to a [`Timeline`](types::Timeline): what kind of listening this is, what was on the
//! air when, with what certainty.

pub mod types;
