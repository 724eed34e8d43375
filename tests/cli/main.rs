//! The program from outside: arguments, exit statuses, streams, files.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod check;
mod compare;
mod manners;
mod outputs;
mod readme;
mod simulate;
mod sounds;
mod station;
