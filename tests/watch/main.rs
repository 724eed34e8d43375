//! The live watch from outside: streams in, alarms out, whatever the source, the disk and the
//! clock do.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod alarms;
#[cfg(all(target_os = "linux", feature = "sound-card"))]
mod card;
#[cfg(unix)]
mod hanging;
mod kept;
#[cfg(target_os = "linux")]
mod log;
mod markers;
mod sources;
#[cfg(unix)]
mod stopping;
mod stream;
#[path = "../archive/written.rs"]
mod written;
