//! A stream that never ends: the last two minutes are judged again and again, by the same
//! staircase as a recording, and what begins and ends is told. Memory is bounded, nothing here
//! knows a clock, a file or a terminal.

mod lane;
mod ring;
mod types;
mod watcher;

pub use lane::{Lane, Moment, lane};
pub use ring::Ring;
pub use types::{Ended, Happening, Raised};
pub use watcher::Watcher;
