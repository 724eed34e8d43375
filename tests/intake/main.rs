//! The intake against files that ffmpeg and sox made.

mod formats;
mod signal;
mod tools;
