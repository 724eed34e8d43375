//! What leaves the cause floor.

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

/// One item of evidence; `present` words it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evidence {
    /// What was measured.
    pub kind: EvidenceKind,
    /// The value, in the unit of `kind`.
    pub value: f64,
    /// What it adds to the log10 odds of the label against all other causes; the items, and what
    /// could not be measured, are together all that moved those odds.
    pub log10_odds: f64,
}

/// Kinds of evidence. Units in brackets; 1 is a bare ratio.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EvidenceKind {
    /// Share of drops that came back within the latency window (1).
    CameBackFraction,
    /// Robust coefficient of variation of the gaps that came back (1).
    GapRegularity,
    /// Median gap of those that came back (s).
    GapLength,
    /// Robust coefficient of variation of the on-times of re-keyed transmissions (1).
    OnRegularity,
    /// Robust coefficient of variation of key-up to next key-up (1).
    PeriodRegularity,
    /// Share of tails that equal the hang time (1).
    TailMatch,
    /// Median blip, key-up to loss of the input (s).
    BlipLength,
    /// Most drops in a row that came back, on-times alike (1).
    LongestRun,
    /// Noise under the user relative to unquieted noise (dB).
    UserNoise,
    /// Risings of the noise to near full within overs (1/s).
    NoiseSwings,
    /// Noise in the tail relative to unquieted noise (dB).
    TailNoise,
    /// Unrest of the noise within the tail (dB).
    TailUnrest,
    /// Share of transmissions that end without a quiet tail (1).
    CutWithoutTail,
    /// Length of the longest transmission (s).
    LongestOver,
    /// Spread of the lengths of the three longest transmissions, robust (1).
    LongestAlike,
    /// Modulated share of the user's part (1).
    Modulated,
    /// Tones (courtesy, Morse) a transmission (1).
    Tones,
    /// Share of transmissions with a burst of the repeater's squelch (1).
    RepeaterBursts,
    /// Marks of an FM receiver: steps of noise a minute (1/min).
    RepeaterLikeness,
    /// Drops that came straight back (1).
    CameBack,
    /// Coefficient of variation of all gaps that came back, strays included (1).
    GapScatter,
    /// Longest gap that came back (s).
    GapLongest,
    /// Median length of the transmissions (s).
    OnLength,
    /// Robust coefficient of variation of the blips (1).
    BlipRegularity,
    /// Median length of the tails (s).
    TailLength,
    /// Robust coefficient of variation of the tails (1).
    TailRegularity,
    /// Share of transmissions that end in a quiet carrier long enough for a hang timer (1).
    QuietEndings,
    /// User's quieting just before the loss, median (dB).
    Quieting,
    /// Share of drops with a burst of the listener's squelch (1).
    ListenerBursts,
    /// Impulsiveness of the noise under the user: kurtosis excess (1).
    Crackle,
    /// Share of the recording that is full noise (1).
    NoiseShare,
    /// Most drops in a row at even distances, whatever was heard between them (1).
    EvenDrops,
    /// Robust coefficient of variation of these distances (1).
    EvenDropsSpread,
    /// Robust coefficient of variation of all distances from drop to drop (1).
    DropSpacing,
    /// Median tail as a share of the even distance (1).
    TailOfSpacing,
    /// Losses of the input a transmission, each as far as the network was sure of it (1).
    LossesEach,
    /// Courtesy tones a transmission (1).
    CourtesyTones,
    /// Share of the time from first key-up to last drop that a carrier was heard (1).
    OnAirShare,
    /// How sure the network was of the key-ups, median (1).
    KeyUpsSure,
    /// How sure the network was of the losses of the input, median (1).
    LossesSure,
    /// How sure the network was of the drops, median (1).
    DropsSure,
    /// The user's statement: a known hang time that the tails match or not (1).
    StatedFact,
    /// Chance of this cause by the sound of the whole alone (1).
    LikeSelfDesense,
    /// Chance of this cause by the sound of the whole alone (1).
    LikeWeakSignalFading,
    /// Chance of this cause by the sound of the whole alone (1).
    LikeListenerFading,
    /// Chance of this cause by the sound of the whole alone (1).
    LikeListenerDesense,
    /// Chance of this cause by the sound of the whole alone (1).
    LikeOrdinaryTraffic,
    /// Chance of this cause by the sound of the whole alone (1).
    LikeHandKeying,
    /// Chance of this cause by the sound of the whole alone (1).
    LikeTimeoutTimer,
    /// Chance of this cause by the sound of the whole alone (1).
    LikeLinkLoop,
    /// Chance of this cause by the sound of the whole alone (1).
    LikeTransmitterFault,
    /// Chance of this cause by the sound of the whole alone (1).
    LikeNoRepeaterAudio,
}

impl EvidenceKind {
    /// All kinds, in the order of the tables.
    pub const ALL: [Self; 52] = [
        Self::CameBackFraction,
        Self::GapRegularity,
        Self::GapLength,
        Self::OnRegularity,
        Self::PeriodRegularity,
        Self::TailMatch,
        Self::BlipLength,
        Self::LongestRun,
        Self::UserNoise,
        Self::NoiseSwings,
        Self::TailNoise,
        Self::TailUnrest,
        Self::CutWithoutTail,
        Self::LongestOver,
        Self::LongestAlike,
        Self::Modulated,
        Self::Tones,
        Self::RepeaterBursts,
        Self::RepeaterLikeness,
        Self::CameBack,
        Self::GapScatter,
        Self::GapLongest,
        Self::OnLength,
        Self::BlipRegularity,
        Self::TailLength,
        Self::TailRegularity,
        Self::QuietEndings,
        Self::Quieting,
        Self::ListenerBursts,
        Self::Crackle,
        Self::NoiseShare,
        Self::EvenDrops,
        Self::EvenDropsSpread,
        Self::DropSpacing,
        Self::TailOfSpacing,
        Self::LossesEach,
        Self::CourtesyTones,
        Self::OnAirShare,
        Self::KeyUpsSure,
        Self::LossesSure,
        Self::DropsSure,
        Self::StatedFact,
        Self::LikeSelfDesense,
        Self::LikeWeakSignalFading,
        Self::LikeListenerFading,
        Self::LikeListenerDesense,
        Self::LikeOrdinaryTraffic,
        Self::LikeHandKeying,
        Self::LikeTimeoutTimer,
        Self::LikeLinkLoop,
        Self::LikeTransmitterFault,
        Self::LikeNoRepeaterAudio,
    ];

    /// The one that tells how much the whole sounds like a cause.
    #[must_use]
    pub const fn like(cause: Cause) -> Self {
        match cause {
            Cause::SelfDesense => Self::LikeSelfDesense,
            Cause::WeakSignalFading => Self::LikeWeakSignalFading,
            Cause::ListenerFading => Self::LikeListenerFading,
            Cause::ListenerDesense => Self::LikeListenerDesense,
            Cause::OrdinaryTraffic => Self::LikeOrdinaryTraffic,
            Cause::HandKeying => Self::LikeHandKeying,
            Cause::TimeoutTimer => Self::LikeTimeoutTimer,
            Cause::LinkLoop => Self::LikeLinkLoop,
            Cause::TransmitterFault => Self::LikeTransmitterFault,
            Cause::NoRepeaterAudio => Self::LikeNoRepeaterAudio,
        }
    }

    /// Position in [`EvidenceKind::ALL`].
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }

    /// The fixed word for machines.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::CameBackFraction => "came_back_fraction",
            Self::GapRegularity => "gap_regularity",
            Self::GapLength => "gap_length",
            Self::OnRegularity => "on_regularity",
            Self::PeriodRegularity => "period_regularity",
            Self::TailMatch => "tail_match",
            Self::BlipLength => "blip_length",
            Self::LongestRun => "longest_run",
            Self::UserNoise => "user_noise",
            Self::NoiseSwings => "noise_swings",
            Self::TailNoise => "tail_noise",
            Self::TailUnrest => "tail_unrest",
            Self::CutWithoutTail => "cut_without_tail",
            Self::LongestOver => "longest_over",
            Self::LongestAlike => "longest_alike",
            Self::Modulated => "modulated",
            Self::Tones => "tones",
            Self::RepeaterBursts => "repeater_bursts",
            Self::RepeaterLikeness => "repeater_likeness",
            Self::CameBack => "came_back",
            Self::GapScatter => "gap_scatter",
            Self::GapLongest => "gap_longest",
            Self::OnLength => "on_length",
            Self::BlipRegularity => "blip_regularity",
            Self::TailLength => "tail_length",
            Self::TailRegularity => "tail_regularity",
            Self::QuietEndings => "quiet_endings",
            Self::Quieting => "quieting",
            Self::ListenerBursts => "listener_bursts",
            Self::Crackle => "crackle",
            Self::NoiseShare => "noise_share",
            Self::EvenDrops => "even_drops",
            Self::EvenDropsSpread => "even_drops_spread",
            Self::DropSpacing => "drop_spacing",
            Self::TailOfSpacing => "tail_of_spacing",
            Self::LossesEach => "losses_each",
            Self::CourtesyTones => "courtesy_tones",
            Self::OnAirShare => "on_air_share",
            Self::KeyUpsSure => "key_ups_sure",
            Self::LossesSure => "losses_sure",
            Self::DropsSure => "drops_sure",
            Self::StatedFact => "stated_fact",
            Self::LikeSelfDesense => "like_self_desense",
            Self::LikeWeakSignalFading => "like_weak_signal_fading",
            Self::LikeListenerFading => "like_listener_fading",
            Self::LikeListenerDesense => "like_listener_desense",
            Self::LikeOrdinaryTraffic => "like_ordinary_traffic",
            Self::LikeHandKeying => "like_hand_keying",
            Self::LikeTimeoutTimer => "like_timeout_timer",
            Self::LikeLinkLoop => "like_link_loop",
            Self::LikeTransmitterFault => "like_transmitter_fault",
            Self::LikeNoRepeaterAudio => "like_no_repeater_audio",
        }
    }

    /// Unit of the value, as the contract writes it.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::GapLength
            | Self::BlipLength
            | Self::LongestOver
            | Self::GapLongest
            | Self::OnLength
            | Self::TailLength => "s",
            Self::UserNoise | Self::TailNoise | Self::TailUnrest | Self::Quieting => "dB",
            Self::NoiseSwings => "1/s",
            Self::RepeaterLikeness => "1/min",
            _ => "1",
        }
    }
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
