//! The simulator's physics against published theory, and the loop against its own laws.

#![allow(clippy::unwrap_used)]

mod loops;
