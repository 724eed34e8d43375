//! What a watch tells: one line of JSON a happening, one sentence, and the lane of the last
//! minutes on a terminal.

mod json;
mod lane;

pub use json::{WatchEvent, WatchJson};
pub use lane::{Flow, MARGINS, picture};
