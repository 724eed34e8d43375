//! Before and after a repair: when a difference counts, and when two sets are too unlike.

/// A difference counts when chance alone makes so large a one in at most this share of cases:
/// the customary one in twenty, the other side of the 95 % intervals.
pub const SIGNIFICANT: f64 = 0.05;

/// Further drops that are worth naming: at a drop every few seconds this is a long evening.
pub const MOST_FURTHER_DROPS: u64 = 2000;

/// Hang times that differ by less than this are one setting: tails are read to some tens of
/// milliseconds, and timers of one controller keep within that.
pub const HANG_APART_S: f64 = 0.1;
/// And by less than this share: a clock of a cheap recorder runs up to some parts in a thousand
/// off, an old tape a few parts in a hundred.
pub const HANG_APART_SHARE: f64 = 0.05;
/// Tails, or quietings, below which a set does not tell its own surely enough to doubt the other's:
/// one may have been read wrong.
pub const FEWEST_READINGS: usize = 3;

/// Quieting before the loss that is fair and usable in the one set, and by more than this better
/// than in the other, is another signal: one that was let go, not lost.
pub const QUIETING_APART_DB: f64 = 6.0;

/// Sound that reaches up to frequencies this much apart (ratio) came through another recorder or
/// another setting of it.
pub const BANDWIDTH_APART_RATIO: f64 = 1.25;

/// Drops below which a set says little of a fault that comes and goes.
pub const FEW_DROPS: u64 = 5;

/// Recordings that a one-page dossier lists singly; the rest is in the machine-readable result,
/// whose fingerprint the page carries.
pub const LISTED_EXHIBITS: usize = 4;
/// Doubts that a one-page dossier has room for; the rest is counted.
pub const LISTED_DOUBTS: usize = 4;

/// A fault counts as one that comes and goes when, at 95 %, fewer than this share of the drops
/// came back before the repair; steady desense misses the odd drop that was misread, no more.
pub const STEADY_SHARE: f64 = 0.95;

/// A bound that is called close: no more than one drop in ten could still come back.
pub const CLOSE_BOUND: f64 = 0.10;
