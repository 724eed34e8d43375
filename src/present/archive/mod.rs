//! An archive's results: one line of JSON a recording, tables for other engines, and the summary
//! with its calendar.

mod calendar;
mod line;
mod parquet;
mod summary;
mod tables;

pub use line::{BatchJson, CoverageJson, FileJson, Format as BatchFormat, recorded};
pub use parquet::{Table, Writer};
pub use summary::leaf;
pub use tables::{episodes, tables};
