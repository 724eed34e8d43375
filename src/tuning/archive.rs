//! Limits of the archive: what is one run of files, one episode, one hour.

use crate::units::Seconds;

/// Files of a logger follow each other when no more than this lies between the end of one and the
/// start of the next, either way: names tell whole seconds, and rotating takes a moment (common
/// practice, no source). A drop and its return are shorter than this by far.
pub const JOIN_BREAK: Seconds = Seconds(2.5);

/// Longest run of files that is heard as one recording: a day, so that an interruption loses no
/// more, and the runs of one archive can be shared out among the cores.
pub const JOIN_SPAN: Seconds = Seconds(86_400.0);

/// Two stretches of one site and one label that lie no further apart are one episode that a file's
/// border cut: as far as the cause floor lets an intermittent beat pause.
pub const EPISODE_BREAK: Seconds = Seconds(30.0);

/// Less heard than this makes no rate: a single episode in it would be "fifty in a hundred hours".
pub const RATE_FROM: Seconds = Seconds(10.0 * 3_600.0);
