//! Frames of sounds whose spectrum is known, for the live comparison with scipy and librosa.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod frames;
mod sounds;
