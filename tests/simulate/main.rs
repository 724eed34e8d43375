//! The simulator's physics against published theory, and the loop against its own laws.

mod loops;
