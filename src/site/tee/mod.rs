//! The isolated tee: levels for one and the same criterion in four states give desense, site
//! noise and cabinet leakage.

pub mod analyse;
pub mod doubts;
pub mod read;
pub mod worksheet;

pub use analyse::{Figure, TeeResult, analyse};
pub use doubts::Doubt;
pub use worksheet::{Criterion, Reading, State, Worksheet};
