//! How a stream that never ends is looked at. The delay from the third return to the alarm, and
//! the false alarms that these choices cost, are measured in `reports/watch.md`.

use crate::units::Seconds;

/// Most sound kept and judged at a look. Five beats of the longest usual hang time of 10 s and its
/// blip and gap fit twice; more would let old traffic outweigh what goes on now.
pub const WINDOW: Seconds = Seconds(120.0);

/// Sound judged at a glance, while nothing comes straight back, and before the first return at a
/// look: two beats of the longest usual hang time, and what the network wants to see around them.
pub const GLANCE: Seconds = Seconds(30.0);

/// From glance to glance. Three returns take longer than this with any hang time of a second or
/// more, so that the looks have begun by the third.
pub const GLANCE_EVERY: Seconds = Seconds(5.0);

/// From look to look, once something came straight back.
pub const LOOK_EVERY: Seconds = Seconds(2.0);

/// Looks go on for so long after the last return.
pub const LOOKS_LAST: Seconds = Seconds(60.0);

/// Looks in a row that must find self-desense that is still going on before the alarm is given,
/// each with a return that the one before had not: with a look every two seconds a single one
/// errs sooner or later, and another look at the same drops only errs again.
pub const LOOKS_AGREE: usize = 2;

/// A beat that ended longer ago than this is over and no reason for an alarm any more; the longest
/// usual hang time with its blip and gap.
pub const STILL_ON: Seconds = Seconds(12.0);

/// An episode is over when nothing came straight back for so long, as in the cause floor; until
/// then it is one episode and one alarm.
pub const CALM: Seconds = Seconds(30.0);

/// Sound kept before an episode.
pub const KEPT_BEFORE: Seconds = Seconds(30.0);

/// Longest sound kept of one episode; one may go on for days.
pub const KEPT_LONGEST: Seconds = Seconds(600.0);

/// A drop of kept sound gets a marker from this confidence on: likelier there than not. In the silence of a source that
/// ends, the end of the last transmission is guessed anew at every look.
pub const MARKED_FROM: f64 = 0.5;

/// Peak below which nothing arrives at all: a cable that fell out, a program that stopped. Two
/// steps of 16 bits, as in the intake's gate.
pub const NOTHING_PEAK: f32 = 2.0 / 32_768.0;

/// So much of nothing is reported. A squelched set is silent for hours, so it is a remark and no
/// alarm.
pub const NOTHING_FOR: Seconds = Seconds(600.0);

/// A drop is new when it lies so far behind the last one counted; two looks place one drop within
/// milliseconds of each other.
pub const NEW_AFTER: Seconds = Seconds(0.05);

/// A source that delivers nothing for so long, and has not ended, hangs. Sound cards and radio
/// programs deliver several times a second; a stream over the network may fill its buffer for some
/// seconds and then makes up for it.
pub const HANGS_AFTER: Seconds = Seconds(10.0);

/// Alarms that may be on their way at once, each with a thread and perhaps two minutes of sound in
/// memory. There is one episode a minute at most, and a send gives up after some five: only
/// commands that never end fill this, and more of those help nobody.
pub const ALARMS_AT_ONCE: usize = 16;
