//! Events as a table, as captions, and as cue markers in a WAV file.

pub mod csv;
pub mod markers;
pub mod vtt;
