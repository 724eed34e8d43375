//! What is made of results: text, JSON, tables, pictures, pages.

mod fixtures;
mod pictures;
