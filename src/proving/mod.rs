//! Scoring against truth. May use the types of timeline and cause, never their code.

pub mod matching;
pub mod tally;
