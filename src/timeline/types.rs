//! What leaves the timeline.

use crate::long_list::LongList;
use crate::units::{Dbfs, Decibels, Hertz, Instant, Seconds};
use serde::{Deserialize, Serialize};

/// Everything found in one recording, in order of time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Timeline {
    /// What kind of listening this is, and doubts about it.
    pub listening: Listening,
    /// The repeater's transmissions as heard.
    pub carrier: LongList<Transmission>,
    /// Events.
    pub events: LongList<Event>,
    /// One entry per carrier drop.
    pub drops: LongList<Drop>,
    /// The controller's hang time, where tails tell it.
    pub hang_time: Option<HangTime>,
    /// Sub-audible tone that the recording passes.
    pub ctcss: Option<Hertz>,
    /// What it sounds like, a block at a time; each begins within the one before.
    pub likeness: LongList<Likeness>,
}

impl Timeline {
    /// One in which nothing was heard: where examples and tests begin.
    #[must_use]
    pub fn of_nothing(mode: ListeningMode) -> Self {
        Self {
            listening: Listening::to_nothing(mode),
            carrier: LongList::default(),
            events: LongList::default(),
            drops: LongList::default(),
            hang_time: None,
            ctcss: None,
            likeness: LongList::default(),
        }
    }
}

/// Number of causes that a recording may sound like.
pub const LIKENESSES: usize = 10;

/// What some minutes sound like as a whole, whatever was made out in them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Likeness {
    /// Begin.
    pub start: Instant,
    /// End.
    pub end: Instant,
    /// Natural log of each cause's chance, in the order of [`Cause::ALL`](crate::cause::verdict::Cause::ALL).
    pub log_chances: [f32; LIKENESSES],
}

/// The listening conditions.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Listening {
    /// How carrier and no carrier can be told apart here.
    pub mode: ListeningMode,
    /// Upper end of what the audio path passes.
    pub bandwidth: Option<Hertz>,
    /// Level of the quietest moments.
    pub noise_floor: Option<Dbfs>,
    /// Doubts, each with its evidence.
    pub warnings: Vec<Warning>,
    /// Chance that a voice-activated recorder cut gaps out.
    pub cut_chance: f64,
    /// Steps of unquieted noise (a carrier or a squelch coming or going) a minute.
    pub noise_steps_per_min: f64,
    /// Share of the time that was read as unquieted noise.
    pub noise_share: f64,
}

impl Listening {
    /// In this mode, and nothing was heard.
    #[must_use]
    pub const fn to_nothing(mode: ListeningMode) -> Self {
        Self {
            mode,
            bandwidth: None,
            noise_floor: None,
            warnings: Vec::new(),
            cut_chance: 0.0,
            noise_steps_per_min: 0.0,
            noise_share: 0.0,
        }
    }
}

/// How carrier and no carrier can be told apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ListeningMode {
    /// The listener's set is mute without a carrier.
    Squelched,
    /// The listener's set hisses without a carrier.
    OpenSquelch,
    /// Mute and quiet carrier cannot be told apart; only noise bursts and audio are landmarks.
    BurstsOnly,
    /// A voice-activated recorder cut the gaps out.
    NoGaps,
    /// Nothing of an FM receiver in it.
    NotFm,
}

impl ListeningMode {
    /// All, in their fixed order.
    pub const ALL: [Self; 5] = [
        Self::Squelched,
        Self::OpenSquelch,
        Self::BurstsOnly,
        Self::NoGaps,
        Self::NotFm,
    ];

    /// The fixed word for machines.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Squelched => "squelched",
            Self::OpenSquelch => "open_squelch",
            Self::BurstsOnly => "bursts_only",
            Self::NoGaps => "no_gaps",
            Self::NotFm => "not_fm",
        }
    }
}

/// A doubt, carrying its evidence; `present` words it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum Warning {
    /// Samples at full scale.
    Clipped {
        /// Share of frames that touch full scale.
        share: f64,
    },
    /// Packets or samples were lost.
    Damaged {
        /// Number of places.
        places: usize,
        /// Audio lost.
        lost: Seconds,
        /// The first place.
        first: Instant,
    },
    /// The file ends before its header says.
    Truncated {
        /// Where it ends.
        at: Instant,
    },
    /// Gaps come from clip start times and are no better than their clock.
    ClipClock {
        /// Resolution of the clip clock.
        resolution: Seconds,
    },
    /// A voice-activated recorder may have cut silence out.
    GapsMayBeCut {
        /// How probable that is.
        chance: f64,
    },
    /// Pauses all have one length where gaps may have been cut: a recorder's hold time, perhaps, and not the
    /// repeater's.
    PausesAllEqual {
        /// That length.
        pause: Seconds,
    },
    /// Only a narrow band arrives; noise above speech cannot be judged well.
    NarrowBand {
        /// Upper end.
        bandwidth: Hertz,
    },
    /// The listening mode that the user stated does not fit what is heard.
    StatedModeDoubtful {
        /// What was stated.
        stated: ListeningMode,
        /// What the recording looks like.
        heard: ListeningMode,
    },
    /// The recording starts or ends within a transmission.
    CutAtEdge {
        /// True for the start, false for the end.
        at_start: bool,
    },
    /// Too little was heard to judge.
    Short {
        /// Length heard.
        heard: Seconds,
    },
}

/// One transmission of the repeater.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Transmission {
    /// Begin.
    pub start: Instant,
    /// End.
    pub end: Instant,
    /// False where the recording (or a scanner) joined late, or where the key-up was not surely heard: the
    /// time is rough then.
    pub start_known: bool,
    /// False where the recording stops before the transmission does.
    pub end_known: bool,
}

/// One event.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// When.
    pub t: Instant,
    /// What.
    pub kind: EventKind,
    /// Standard deviation of `t`.
    pub sd: Seconds,
    /// Probability that this event is real and of this kind.
    pub confidence: f64,
}

/// Kinds of event.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EventKind {
    /// The repeater's carrier comes up, as heard.
    KeyUp,
    /// The repeater's receiver loses the user: its squelch tail ends or its audio stops.
    InputLoss,
    /// The repeater's carrier drops.
    CarrierDrop,
    /// A short tone after the user's over.
    CourtesyTone {
        /// Its frequency (the first, of several).
        frequency: Hertz,
    },
    /// A station identifier in Morse.
    StationId {
        /// Pitch.
        frequency: Hertz,
        /// Speed in words a minute.
        wpm: f64,
    },
    /// Another tone.
    Tone {
        /// Its frequency.
        frequency: Hertz,
        /// DTMF digit, where it is one.
        digit: Option<char>,
    },
}

/// One carrier drop with the transmission that it ended and the gap that followed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Drop {
    /// The drop.
    pub drop: Instant,
    /// The next key-up, if there is one in the recording that was surely heard.
    pub rekey: Option<Instant>,
    /// From drop to re-key, if that was observable.
    pub gap: Option<Seconds>,
    /// Length of the transmission that ended here.
    pub on: Option<Seconds>,
    /// Key-up to the first loss of the input.
    pub blip: Option<Seconds>,
    /// Last loss of the input to the drop.
    pub tail: Option<Seconds>,
    /// Re-keyed within the latency window; `None` where the recording cannot tell.
    pub came_back: Option<bool>,
    /// User's quieting just before the input was lost, against the repeater's squelch tail.
    pub quieting: Option<Decibels>,
    /// What the transmission sounded like; the raw material of the cause.
    pub sound: TransmissionSound,
}

impl Drop {
    /// Key-up to the next key-up.
    #[must_use]
    pub fn period(&self) -> Option<Seconds> {
        Some(Seconds(self.on?.get() + self.gap?.get()))
    }
}

/// Measured character of one transmission; `None` where it could not be measured.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct TransmissionSound {
    /// Noise under the user's part relative to unquieted noise (0 dB is full noise).
    pub user_noise: Option<Decibels>,
    /// Noise in the tail relative to unquieted noise.
    pub tail_noise: Option<Decibels>,
    /// Swings of the noise per second within the user's part.
    pub noise_swings_per_s: Option<f64>,
    /// Swings of the noise per second within the tail.
    pub tail_swings_per_s: Option<f64>,
    /// Spread of the noise level within the tail.
    pub tail_noise_spread: Option<Decibels>,
    /// A burst of unquieted noise ended the user's part.
    pub repeater_burst: Option<Seconds>,
    /// A burst of unquieted noise followed the drop.
    pub listener_burst: Option<Seconds>,
    /// Share of the user's part with speech or other modulation.
    pub modulated_share: Option<f64>,
    /// Impulsiveness of the user's noise: kurtosis excess.
    pub crackle: Option<f64>,
    /// Quiet carrier just before the drop (0: cut in mid-speech); a user who was over before the
    /// listener's set opened leaves nothing but this.
    pub quiet_before_drop: Option<Seconds>,
    /// Number of tones (courtesy, Morse) inside.
    pub tones: u16,
}

/// The hang timer as seen in the tails.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct HangTime {
    /// Best estimate.
    pub estimate: Seconds,
    /// Low end of the 95 % interval.
    pub low: Seconds,
    /// High end of the 95 % interval.
    pub high: Seconds,
    /// Tails that it rests on.
    pub count: usize,
}
