//! Many recordings of many sites over months: what of the time was heard, what happened in it,
//! and which of a logger's rotated files belong on one clock. No file is touched here.

pub mod coverage;
pub mod episodes;
pub mod hours;
pub mod joining;
pub mod summary;
pub mod when;
