//! tailbeat hears, from a recording made by somebody listening to a two-way radio repeater,
//! whether the repeater's own transmitter is reaching its own receiver, and helps its keeper
//! to measure, find and prove it.
//!
//! Data flows one way: [`intake`] -> [`acoustics`] -> [`timeline`] -> [`cause`], climbed in order
//! by [`check`] only. [`present`] turns results into text, JSON, pictures and pages.
//! [`simulate`] makes audio with its truth; [`proving`] scores results against truth.
//! `DEVELOPERS.md` has the map.

pub mod acoustics;
pub mod archive;
pub mod backoff;
pub mod cause;
pub mod check;
pub mod cli;
pub mod compare;
pub mod desk;
pub mod error;
pub mod intake;
pub mod live;
pub mod long_list;
pub mod present;
pub mod proving;
pub mod simulate;
pub mod site;
pub mod statistics;
pub mod timeline;
pub mod tuning;
pub mod typed_table;
pub mod units;

pub use check::{Check, CheckOptions, check_file};
pub use error::{Error, Result};
