//! The whole check, from bytes to verdict: laws that every detector must obey, and damage that
//! none may stumble over.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod damage;
mod injury;
mod laws;
mod lookalikes;
mod sound;
mod threads;
