//! A recording's samples to [`frames`]: features on one clock, streaming, in constant memory.

pub mod frames;
