//! The station's side for people: words, pages and pictures of cost, tee, SINAD, stepped test
//! and fault search. Each result becomes a [`leaf::Leaf`], which is text or a page alike.

pub mod backoff;
pub mod backoff_picture;
pub mod belief_picture;
pub mod cost;
pub mod hunt;
pub mod json;
pub mod leaf;
mod leaf_page;
mod leaf_text;
pub mod shares;
pub mod sinad;
pub mod tee;
pub mod tee_picture;
pub mod tree_picture;
