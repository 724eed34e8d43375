//! The desk: members send recordings in, the keepers of a repeater judge them from home.
//!
//! [`view`] says what a page shows, [`pages`] makes HTML of it, [`assets`] holds styles and
//! scripts; none of them touches anything outside.

pub mod assets;
pub mod pages;
pub mod view;
