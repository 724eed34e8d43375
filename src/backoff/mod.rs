//! The stepped back-off test: how far must a signal that just drops be lowered before the
//! repeater stays down? From a recording with its steps, or from trials typed by hand.

pub mod advice;
pub mod bracket;
pub mod estimate;
pub mod from_recording;
pub mod marks;
pub mod report;
pub mod steps;
pub mod trials;
pub mod typed;

pub use report::{BackoffOptions, BackoffReport, report};
pub use trials::{Excluded, Exclusion, Level, Trial, Trials};
