//! Before and after: two sets of recordings, saved reports and stepped tests, and how much their
//! difference proves. Counts and tests only; nothing is said that the drops do not carry.

pub mod change;
pub mod doubts;
pub mod enough;
pub mod evidence;
pub mod report;
pub mod tally;
pub mod verification;

pub use doubts::Doubt;
pub use evidence::{Content, Exhibit, Heard, SteppedTest};
pub use report::{Comparison, Stated, compare};
pub use tally::{Middle, Tally};
