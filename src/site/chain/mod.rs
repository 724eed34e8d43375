//! Fault search along the antenna chain: where to put the load next.
//!
//! With a load on the outer end of a section, desense that stays lies before the load, desense
//! that is gone lies beyond it: a search on a line in which every test has its own price and every
//! section its own chance of being the culprit. One fault at a time is assumed.

pub mod ahead;
pub mod belief;
pub mod doubtful;
pub mod hunt;
pub mod kinds;
pub mod looks;
mod order;
pub mod plan;
pub mod price;
pub mod read;
pub mod rules;
pub mod station;
pub mod tree;

pub use hunt::{Hunt, hunt};
pub use station::{Section, Station, TestResult};
