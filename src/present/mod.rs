//! Results to text, JSON, tables, pictures and pages: pure functions.

pub mod archive;
pub mod beat;
pub mod compare;
pub mod facts;
pub mod html;
pub mod json;
pub mod live;
pub mod numbers;
pub mod picture;
pub mod site;
pub mod story;
pub mod tables;
pub mod text;
pub mod wording;
