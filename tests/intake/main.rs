//! The intake against files that ffmpeg and sox made.

#![allow(clippy::unwrap_used)]

mod clips;
mod damage;
mod formats;
mod headers;
mod opus;
mod refusals;
mod signal;
mod tools;
