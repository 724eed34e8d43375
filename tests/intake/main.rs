//! The intake against files that ffmpeg and sox made.

#![allow(clippy::unwrap_used)]

#[path = "../fuzz/bodies/intake.rs"]
mod body;
mod clips;
mod damage;
mod formats;
mod headers;
#[path = "../check/injury.rs"]
mod injury;
mod opus;
mod refusals;
mod signal;
mod thousand;
mod tools;
