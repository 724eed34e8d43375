//! Scoring against outside references.

mod matching_outside;
