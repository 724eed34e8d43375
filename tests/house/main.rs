//! The walls of the house: which part of the crate may see which, read off the sources.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod imports;
mod plan;
mod walls;
