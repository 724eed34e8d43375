//! Analyses: each in a process of its own, with bounds of time and memory, so that a hostile
//! file can end its own analysis and nothing else.

pub mod child;
mod process;
pub mod worker;

use serde::{Deserialize, Serialize};

/// What the child is told, on its standard input.
#[derive(Debug, Serialize, Deserialize)]
pub struct Task {
    /// The file.
    pub path: std::path::PathBuf,
    /// Name that results and complaints carry.
    pub name: String,
    /// The controller's hang time, where it was stated.
    pub hang_s: Option<f64>,
    /// Seconds of sound that it may hold.
    pub sound_s: u64,
    /// Bytes of address space.
    pub memory_bytes: u64,
    /// Seconds of processor time.
    pub processor_s: u64,
}

/// What the child says, a line each, on its standard output: how far it is, and at last its answer.
#[derive(Debug, Serialize, Deserialize)]
pub enum Word {
    /// Share done, 0 to 1, and whether that is estimated.
    Share(f64, bool),
    /// The result.
    Done(Box<super::store::jobs::Result>),
    /// A complaint about the file: code and words.
    Failed(String, String),
}
