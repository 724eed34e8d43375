//! The desk: members send recordings in, the keepers of a repeater judge them from home.
//!
//! [`view`] says what a page shows, [`pages`] makes HTML of it, [`assets`] holds styles and
//! scripts; none of them touches anything outside. [`store`] is the database, [`objects`] the
//! originals, [`analysis`] the queue's workers, `http` the way in.

pub mod analysis;
mod api;
pub mod app;
pub mod arriving;
pub mod assets;
pub mod backup;
pub mod bundle;
pub mod casework;
mod durable;
pub mod fault;
pub mod fill;
mod http;
pub mod limits;
pub mod media;
pub mod moment;
pub mod objects;
pub mod pages;
pub mod passwords;
pub mod readmit;
pub mod secrets;
pub mod serve;
pub mod settings;
pub mod store;
pub mod trend;
pub mod view;
