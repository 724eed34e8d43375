//! What leaves the cause floor.

use crate::cause::evidence::Evidence;
use crate::units::{Instant, Seconds};
use serde::{Deserialize, Serialize};

/// A cause that a recording can have. The order is fixed; outputs follow it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// The repeater's transmitter deafens its own receiver, and it cycles.
    SelfDesense,
    /// The user's signal into the repeater is weak or fading.
    WeakSignalFading,
    /// The listener's own path fades.
    ListenerFading,
    /// The listener's set is deafened by a transmitter beside it.
    ListenerDesense,
    /// People talking.
    OrdinaryTraffic,
    /// Somebody keys by hand to see whether the repeater answers.
    HandKeying,
    /// The repeater's time-out timer cuts an over.
    TimeoutTimer,
    /// Two linked repeaters hold each other up.
    LinkLoop,
    /// The repeater's transmitter or its supply fails.
    TransmitterFault,
    /// Not a repeater's output at all.
    NoRepeaterAudio,
}

impl Cause {
    /// All causes in their fixed order.
    pub const ALL: [Self; 10] = [
        Self::SelfDesense,
        Self::WeakSignalFading,
        Self::ListenerFading,
        Self::ListenerDesense,
        Self::OrdinaryTraffic,
        Self::HandKeying,
        Self::TimeoutTimer,
        Self::LinkLoop,
        Self::TransmitterFault,
        Self::NoRepeaterAudio,
    ];

    /// Position in [`Cause::ALL`].
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }

    /// The fixed word for machines.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::SelfDesense => "self_desense",
            Self::WeakSignalFading => "weak_signal_fading",
            Self::ListenerFading => "listener_fading",
            Self::ListenerDesense => "listener_desense",
            Self::OrdinaryTraffic => "ordinary_traffic",
            Self::HandKeying => "hand_keying",
            Self::TimeoutTimer => "timeout_timer",
            Self::LinkLoop => "link_loop",
            Self::TransmitterFault => "transmitter_fault",
            Self::NoRepeaterAudio => "no_repeater_audio",
        }
    }
}

/// A cause, or the honest decision that none is probable enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Label {
    /// This cause.
    Cause(Cause),
    /// No cause is probable enough, or the trials are too few.
    Inconclusive,
}

impl Label {
    /// The fixed word for machines.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Cause(cause) => cause.as_str(),
            Self::Inconclusive => "inconclusive",
        }
    }
}

/// What the recording says about its cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// The decision.
    pub label: Label,
    /// Probability of `label`; for [`Label::Inconclusive`] that of the likeliest cause.
    pub probability: f64,
    /// Probability of each cause, in the order of [`Cause::ALL`]; sums to 1.
    pub posterior: [f64; 10],
    /// What it rests on, weightiest first.
    pub evidence: Vec<Evidence>,
    /// The one thing to do next.
    pub next_step: NextStep,
    /// Notes that do not change the label.
    pub notes: Vec<Note>,
    /// How often it came back, where there were trials.
    pub rekey: Option<Rekey>,
    /// Stretches of the recording judged each for itself.
    pub episodes: Vec<Episode>,
}

/// One stretch of the recording with its own judgement.
#[derive(Debug, Clone, PartialEq)]
pub struct Episode {
    /// Begin.
    pub start: Instant,
    /// End.
    pub end: Instant,
    /// Decision for this stretch.
    pub label: Label,
    /// Probability of each cause, in the order of [`Cause::ALL`].
    pub posterior: [f64; 10],
    /// Carrier drops in it.
    pub drops: usize,
}

/// Outcomes of all trials and the beat.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Rekey {
    /// Carrier drops whose outcome was observable.
    pub trials: usize,
    /// How many re-keyed within the latency window.
    pub came_back: usize,
    /// `came_back / trials`.
    pub fraction: f64,
    /// Low end of the 95 % Wilson interval.
    pub low: f64,
    /// High end of the 95 % Wilson interval.
    pub high: f64,
    /// Median gap of those that came back.
    pub gap_median: Option<Seconds>,
    /// Their coefficient of variation.
    pub gap_cv: Option<f64>,
    /// Median of key-up to next key-up over those that came back.
    pub period_median: Option<Seconds>,
    /// Its coefficient of variation.
    pub period_cv: Option<f64>,
}

/// The one thing to do next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum NextStep {
    /// Run the stepped back-off test.
    BackOffTest,
    /// Set the hang time to another value and see whether the beat follows: decisive.
    ChangeHangTime,
    /// Ask the user to hold still, or to use more power or another place.
    HoldStill,
    /// Listen from another place, or on another set.
    ListenElsewhere,
    /// Switch tone squelch off, or open the squelch, and record again.
    OpenSquelch,
    /// Record with the recorder's voice activation off.
    RecordContinuously,
    /// Record longer, three minutes while it happens.
    RecordLonger,
    /// Connect the recorder by line instead of holding it to a loudspeaker.
    RecordByLine,
    /// Look at the transmitter, its supply and its fan.
    InspectTransmitter,
    /// Switch the link off and see whether it stops.
    UnlinkAndListen,
    /// Check the time-out timer and who held the key.
    CheckTimeout,
    /// Nothing to mend was heard; ask for a recording while it happens.
    AskForTheTrouble,
    /// Check that the right recording was sent.
    CheckTheFile,
}

/// Remarks beside the label.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum Note {
    /// Desense looks intermittent, by one of these or both.
    Intermittent {
        /// Some trials did not come back.
        missed: bool,
        /// The noise crackles.
        crackles: bool,
    },
    /// No cycling was seen; desense without cycling cannot be excluded.
    NoCyclingIsNotNoDesense,
    /// Too few drops to say more.
    FewTrials {
        /// How many there were.
        trials: usize,
    },
    /// The evidence alone would say self-desense, but something forbids it.
    Withheld {
        /// What forbids it.
        why: Withheld,
    },
}

/// Why self-desense is called no more than an even chance, whatever the evidence adds up to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Withheld {
    /// The drops come without the tail that the hang timer leaves.
    NoTails,
    /// A few seconds of sound.
    Short,
    /// Digits of a keypad begin the transmissions.
    Keypad,
    /// The whole does not sound like it.
    Sound,
}
