//! Scoring against outside references.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod command;
mod committed_recordings;
mod corpus_files;
mod matching_outside;
