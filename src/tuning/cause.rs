//! Priors and thresholds of the cause floor.
//!
//! The tables of chances, `cause_tables.json` beside this file, are a generated file: made by
//! [`tables::fit`](crate::cause::tables::fit) from `corpus/fit-measures.json`, the measures of
//! the renderings of the fit part whose labels say that they tell their cause. A test makes them again and
//! compares.

use crate::cause::verdict::Cause;

/// Prior chance of each cause, in the order of [`Cause::ALL`], for a recording that somebody
/// took the trouble to send to a repeater's keeper (common practice, no source).
pub const PRIORS: [f64; Cause::ALL.len()] =
    [0.26, 0.18, 0.06, 0.04, 0.20, 0.06, 0.04, 0.03, 0.04, 0.09];

/// A cause is named when it is at least this probable: more so than all others together.
pub const NAME_AT: f64 = 0.50;

/// Self-desense sends somebody on a drive, so it must be more probable than other causes.
pub const NAME_SELF_DESENSE_AT: f64 = 0.85;

/// Fewest drops that came back for which self-desense is ever named: two could be chance.
pub const CYCLES_MIN: usize = 3;

/// Drops that follow within the latency window, with on-times within this share of their
/// median, count as one run. A hang timer with a wandering blip stays well inside.
pub const RUN_ALIKE_SHARE: f64 = 0.30;

/// Runs of at least this many cycles are judged as an episode of their own.
pub const RUN_MIN: usize = 3;

/// A tail equals the hang time within this, seconds ...
pub const TAIL_MATCH_S: f64 = 0.06;
/// ... or this share of it, whichever is larger (resistor-capacitor timers wander).
pub const TAIL_MATCH_SHARE: f64 = 0.04;

/// A transmission whose modulation goes on to within this of its end has no tail, seconds.
pub const CUT_QUIET_S: f64 = 0.20;

/// Noise with a kurtosis excess above this crackles: Gaussian noise has 0, and its band-limited
/// frames through a codec stay below 1 (fit part).
pub const CRACKLE: f64 = 2.0;

/// Desense is noted as intermittent when at least this share of drops in the beat did not come
/// back.
pub const INTERMITTENT_SHARE: f64 = 0.15;

/// Smallest chance that any value of any evidence has under any cause: chains exist that the
/// fit part did not draw.
pub const SURPRISE: f64 = 0.02;

/// How firmly a score is held to its weighted log chance: a bin that holds a hundredth of all
/// recordings, half of them judged wrong, moves by about 1 (chosen by judging each chain of the
/// fit part by tables fitted on the others).
pub const SCORE_RIDGE: f64 = 0.004;

/// Least share of drops with a tail for which self-desense may be called probable: the controller
/// holds the transmitter after every loss of the input, and a recorder or a codec hides some.
pub const TAILS_SHARE_MIN: f64 = 0.5;

/// Quiet carrier of at least this length before a drop is a tail, seconds: hang times are 0 to
/// 10 s, mostly 1 to 6 (common practice, no source); data bursts and speech leave less.
pub const TAIL_MIN_S: f64 = 0.25;

/// Share of the prior in the posterior where a recorder cut the gaps out: the tables know no such
/// recording whose labels say that it tells its cause.
pub const CUT_PRIOR_SHARE: f64 = 0.5;

/// Largest probability of self-desense where tails are missing: as likely as not.
pub const UNHELD_CEILING: f64 = 0.5;

/// Chance of no repeater at all where the sound is not that of an FM receiver: the network never
/// took one for the other on the fit part, and it has not heard everything.
pub const NOT_FM_SHARE: f64 = 0.9;
