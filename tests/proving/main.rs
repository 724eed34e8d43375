//! Scoring against outside references.

mod corpus_files;
mod matching_outside;
