//! The live watch from outside: streams in, alarms out, whatever the source, the disk and the
//! clock do.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod alarms;
mod kept;
mod sources;
mod stream;
