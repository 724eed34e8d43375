//! Bytes to a [`Recording`](recording::Recording): containers, codecs, channel choice, damage
//! counted and time-stamped, start time, groups of clips, one validity gate.

pub mod recording;
