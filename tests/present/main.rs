//! What is made of results: text, JSON, tables, pictures, pages.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod any_numbers;
mod captions;
mod events_table;
mod fixtures;
mod for_outside;
mod json;
mod markers;
mod page;
mod pictures;
mod text;
