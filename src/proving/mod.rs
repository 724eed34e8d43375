//! Scoring against truth. May use the types of timeline and cause, never their code.

pub mod bootstrap;
pub mod corpus;
pub mod encoding;
pub mod fragments;
pub mod matching;
pub mod ordinary;
pub mod outcome;
pub mod page;
pub mod rules;
pub mod scores;
pub mod tally;
pub mod targets;
