//! Archives: many recordings in, lines, tables and a summary out, whatever happens on the way.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod joining;
mod lines;
mod logger;
mod resuming;
#[cfg(target_os = "linux")]
mod stopping;
mod tables;
mod written;
