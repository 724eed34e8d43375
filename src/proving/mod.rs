//! Scoring against truth. May use the types of timeline and cause, never their code.

pub mod corpus;
pub mod encoding;
pub mod fragments;
pub mod matching;
pub mod tally;
