//! Each page as a pure function: view in, HTML out.
//!
//! The pages bring no style or script within themselves, so that the strictest content security
//! policy holds. Verdicts are worded by `present`; what stands here is the words of forms.

mod case;
mod case_file;
mod chain;
mod door;
mod fields;
mod frame;
mod glyph;
mod heard;
mod home;
mod house;
mod leaf;
mod link;
mod lists;
mod measured;
mod problem;
mod progress;
mod receipt;
mod recording;
mod repeater;
mod send_in;
mod trend;
mod words;

pub use case::case;
pub use case_file::case_file;
pub use door::{come_back, invited, set_up, sign_in};
pub use home::home;
pub use house::{account, audit, import, keepers};
pub use link::link;
pub use problem::problem;
pub use receipt::receipt;
pub use recording::recording;
pub use repeater::{repeater, repeater_form};
pub use send_in::send_in;
