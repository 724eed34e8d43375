//! What counts as right, and how near an event must be found: the rules of scoring, each with its
//! reason.

use crate::cause::verdict::{Cause, Label};
use crate::simulate::Truth;
use crate::simulate::truth::{Tier, TrueEventKind};
use crate::units::{Instant, Seconds};

/// Collar for events heard by line, open squelch or codec: an event found within a syllable of
/// the true one is the same event, and blips as short as 50 ms stay apart.
pub const COLLAR_NEAR: Seconds = Seconds(0.05);

/// Collar for a phone at a loudspeaker and for several troubles at once: reverberation, gain
/// control and poor codecs smear an edge over a tenth of a second.
pub const COLLAR_FAR: Seconds = Seconds(0.15);

/// Bins of the reliability table.
pub const RELIABILITY_BINS: usize = 10;

/// Confidence of all intervals.
pub const CONFIDENCE: f64 = 0.95;

/// The collar that a tier is scored with.
#[must_use]
pub const fn collar(tier: Tier) -> Seconds {
    match tier {
        Tier::Line | Tier::Open | Tier::Codec | Tier::Cut => COLLAR_NEAR,
        Tier::Phone | Tier::Hard => COLLAR_FAR,
    }
}

/// Heard drops below which "inconclusive" is no mistake; 0 where the cause shows without drops.
///
/// Two drops are the least that can be alike; a loop shows by its constancy, which takes three.
/// Self-desense has the simulator's own rule: three drops that came back.
const fn least_drops(cause: Cause) -> usize {
    match cause {
        Cause::LinkLoop => 3,
        Cause::WeakSignalFading
        | Cause::HandKeying
        | Cause::TimeoutTimer
        | Cause::TransmitterFault => 2,
        Cause::OrdinaryTraffic | Cause::ListenerFading | Cause::ListenerDesense => 1,
        Cause::SelfDesense | Cause::NoRepeaterAudio => 0,
    }
}

/// Answers that are not wrong beside the true cause: those that the corpus rules on (`also`),
/// "inconclusive" where the labels allow it or too little happened, and plain talk where a weak
/// user never fell out.
#[must_use]
pub fn not_wrong(truth: &Truth, also: &[Label]) -> Vec<Label> {
    let mut labels = also.to_vec();
    let drops = truth.drops.len();
    if truth.inconclusive_allowed || drops < least_drops(truth.cause) {
        labels.push(Label::Inconclusive);
    }
    if truth.cause == Cause::WeakSignalFading && drops == 0 {
        labels.push(Label::Cause(Cause::OrdinaryTraffic));
    }
    labels
}

/// Moments at which an event of `kind` is neither asked for nor counted as spurious: those that
/// the labels call unheard, and the ends of transmissions whose real start or end the listener or
/// the recorder missed. A scanner that comes late hears a carrier begin, and no listener can tell
/// that it began earlier.
#[must_use]
pub fn unknowable(truth: &Truth, kind: TrueEventKind) -> Vec<Instant> {
    let unheard = truth.events.iter().filter(|e| !e.heard && e.kind == kind);
    let mut moments: Vec<Instant> = unheard.map(|e| Instant(e.t_s)).collect();
    let missed_ends = truth.transmissions.iter().filter_map(|over| match kind {
        TrueEventKind::KeyUp if !over.start_known => over.heard_start_s,
        TrueEventKind::CarrierDrop if !over.end_known => over.heard_end_s,
        _ => None,
    });
    moments.extend(missed_ends.map(Instant));
    moments
}
