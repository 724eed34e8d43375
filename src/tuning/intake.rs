//! Limits of the intake: what is still a recording, how much is buffered, when a jump is a loss.

use crate::units::Seconds;

/// Lowest rate taken: below it the path ends under 4 kHz, and the hiss above speech, on which
/// the later floors stand, is not there. 8 kHz is the telephone rate that loggers use.
pub const LOWEST_RATE_HZ: u32 = 8_000;

/// Highest rate taken: the top of what sound cards and radio programs write. Damaged headers
/// claim rates up to 4294967295.
pub const HIGHEST_RATE_HZ: u32 = 192_000;

/// Most channels taken: multi-track field recorders end at 32; a damaged header claims 65535.
pub const MOST_CHANNELS: usize = 32;

/// A recording shorter than this holds no drop with its re-key, whatever is in it.
pub const SHORTEST: Seconds = Seconds(1.0);

/// Peak to peak excursion below which all samples count as one and the same value: two steps of
/// 16-bit audio. A-law silence is a constant other than zero; dither is one step.
pub const SILENT_PEAK_TO_PEAK: f32 = 2.0 / 32_768.0;

/// A sample beyond this (120 dB over full scale) comes from damage: float files that are scaled
/// like 16-bit integers reach 32768, nothing honest reaches this.
pub const LARGEST_SAMPLE: f32 = 1.0e6;

/// Bytes of standard input kept in memory before they go to a temporary file.
pub const SPOOL_IN_MEMORY_BYTES: usize = 4 << 20;

/// Read-ahead of the decoder's input: the smallest power of two that symphonia takes.
pub const READ_AHEAD_BYTES: usize = 64 << 10;

/// Bytes hashed at a time.
pub const HASH_STEP_BYTES: usize = 64 << 10;

/// Samples in a block of zeros that stands for lost or absent audio.
pub const ZERO_BLOCK_SAMPLES: usize = 4_096;

/// A jump in the packets' time stamps up to this is jitter: browsers stamp in whole
/// milliseconds by a wall clock; the shortest packet that can be lost is 10 ms.
pub const JITTER: Seconds = Seconds(0.008);

/// Share of a jitter that is followed at each packet, so that a recorder's clock that drifts
/// against the stamps' clock is not taken for a loss.
pub const JITTER_FOLLOWED: f64 = 0.05;

/// Longest jump that is believed where the header tells no length; a damaged time stamp can
/// claim years.
pub const LONGEST_JUMP: Seconds = Seconds(600.0);

/// Container errors in a row after which the rest is given up: a reader that cannot go on
/// returns the same error for ever, one that can is past a bad stretch within a few tries.
pub const MOST_ERRORS_IN_A_ROW: u32 = 64;

/// Damaged places listed singly; later ones are added to the last one of their kind.
pub const MOST_DAMAGE_LISTED: usize = 2_000;

/// Decoded length may fall short of the header's by this before it is called damage: padding
/// of the last packet and an estimated length differ by this much in sound files.
pub const LENGTH_SLACK: Seconds = Seconds(0.25);
