//! Before and after for people and for programs: text, one-page dossier, picture, JSON.

pub mod beats;
pub mod dossier;
mod json;
mod leaf;
pub(in crate::present) mod saved;
mod verify;

pub use json::CompareJson;
pub use leaf::leaf;
pub use saved::{looks_saved, read};
pub use verify::{VerifyJson, differences, leaf as verification_leaf};
