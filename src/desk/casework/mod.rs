//! What is worked out within a case, by the same calls as the commands use.

pub mod chain;
pub mod dossier;
pub mod measuring;
pub mod whole;
