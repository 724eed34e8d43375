//! Priors and thresholds of the cause floor.
//!
//! The fitted trees, `cause_tables.json` beside this file, are a generated file: made by
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

/// Another cause says that nobody need drive: it is not named while self-desense is more probable than one
/// in four, however much likelier the other is.
pub const DISMISS_SELF_DESENSE_AT: f64 = 0.25;

/// Fewest drops that came back for which self-desense is ever named: two could be chance.
pub const CYCLES_MIN: usize = 3;

/// Drops that follow within the latency window, with on-times within this share of their
/// median, count as one run. A hang timer with a wandering blip stays well inside.
pub const RUN_ALIKE_SHARE: f64 = 0.30;

/// Runs of at least this many cycles are judged as an episode of their own.
pub const RUN_MIN: usize = 3;

/// Drops are at even distances where each lies within this of the mean so far, seconds: what blips and
/// squelches wander by from cycle to cycle (fit part) ...
pub const EVEN_DROPS_S: f64 = 0.06;
/// ... or within this share of it, whichever is larger, as hang timers wander.
pub const EVEN_DROPS_SHARE: f64 = 0.05;

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

/// Rounds of boosting: enough on chains that were left out (spared part); other numbers were not
/// compared.
pub const TREE_ROUNDS: usize = 150;

/// How far each tree goes towards what the ones before it left wrong.
pub const TREE_RATE: f64 = 0.08;

/// Leaves of a tree: seven questions. With each eighth of the chains left out of 2,663 recordings of the
/// spared part, trees of 4, 8, 12 and 16 leaves (as a library grows them, in 150 to 200 rounds) gave a log loss of 0.447, 0.432, 0.425
/// and 0.426 and a macro-F1 of 0.833, 0.852, 0.848 and 0.844.
pub const LEAVES: usize = 8;

/// Places of each kind at which a tree may fork, by equal shares of the cases: about one place for every
/// hundred of them.
pub const TREE_CUTS: usize = 31;

/// Fewest cases in a leaf: what fewer show may be chance. A recording is two cases, with what its user
/// might state and without.
pub const LEAF_CASES_MIN: usize = 20;

/// How firmly a leaf is held at nothing: as by a dozen further cases of even chance, whose second
/// derivative is a quarter each.
pub const LEAF_RIDGE: f64 = 3.0;

/// Share of the kinds of evidence that a tree may ask for, another choice at every tree, so that no
/// kind is leant on alone.
pub const TREE_KINDS_SHARE: f64 = 0.4;

/// Least share of drops with a tail for which self-desense may be called probable: the controller
/// holds the transmitter after every loss of the input, and a recorder or a codec hides some.
pub const TAILS_SHARE_MIN: f64 = 0.5;

/// Quiet carrier of at least this length before a drop is a tail, seconds: hang times are 0 to
/// 10 s, mostly 1 to 6 (common practice, no source); data bursts and speech leave less.
pub const TAIL_MIN_S: f64 = 0.25;

/// A digit within this of a key-up was pressed with it, seconds: a tone opens a squelch in 20 to
/// 250 ms, and a user who is cut off does not begin a digit at every return.
pub const DIGIT_WITHIN_S: f64 = 0.25;

/// Least share of transmissions begun by a digit for which keys were pressed.
pub const DIGITS_SHARE_MIN: f64 = 0.5;

/// Share of the prior in the posterior where a recorder cut the gaps out: the tables know no such
/// recording whose labels say that it tells its cause.
pub const CUT_PRIOR_SHARE: f64 = 0.5;

/// The same, times the chance that the gaps were cut, where they may have been but are told. Twice as much
/// from a chance of 0.2 on, with cuts named from an even chance, left 145 of 174 self-desenses of the spared part
/// found, this 154 of 177 (tables from one drawing).
pub const CUT_DOUBT_SHARE: f64 = 0.25;

/// Largest probability of self-desense where nothing came straight back: desense without cycling is
/// not to be seen in a recording, nor to be excluded.
pub const NO_CYCLES_CEILING: f64 = 0.05;

/// Largest probability of self-desense where tails are missing, where digits key the transmissions,
/// where the whole sounds unlike it, or in a few seconds of sound (the network was fitted on stretches of 24 s): as likely as not.
pub const UNHELD_CEILING: f64 = 0.5;

/// Where the whole sounds like self-desense with a lesser chance than this, what was made out in it may not name
/// it. Of the spared part's recordings, judged by trees that did not know their chain and by an ear for the whole
/// that did not know their chain or did not know their scene, this takes three of 222 that were so named and were,
/// and one of five that were not; an even chance took eight more of the former and none of the latter. Found
/// necessary by a real recording, clockwork bursts of data from a satellite.
pub const SOUNDS_LIKE_MIN: f64 = 0.1;

/// Chance of no repeater at all where the sound is not that of an FM receiver: the network never
/// took one for the other on the fit part, and it has not heard everything.
pub const NOT_FM_SHARE: f64 = 0.9;
