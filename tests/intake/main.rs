//! The intake against files that ffmpeg and sox made.

mod clips;
mod damage;
mod formats;
mod headers;
mod opus;
mod refusals;
mod signal;
mod tools;
