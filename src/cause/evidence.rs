//! What a verdict rests on: the kinds of evidence, their words and units.

use crate::cause::verdict::Cause;

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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
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
    /// Chance of a cause by the sound of the whole alone (1).
    SoundsLike(Cause),
}

/// What is measured on events, in the order of the tables: the kind, its word for machines and its
/// unit as the contract writes it.
const MEASURED: [(EvidenceKind, &str, &str); 42] = [
    (EvidenceKind::CameBackFraction, "came_back_fraction", "1"),
    (EvidenceKind::GapRegularity, "gap_regularity", "1"),
    (EvidenceKind::GapLength, "gap_length", "s"),
    (EvidenceKind::OnRegularity, "on_regularity", "1"),
    (EvidenceKind::PeriodRegularity, "period_regularity", "1"),
    (EvidenceKind::TailMatch, "tail_match", "1"),
    (EvidenceKind::BlipLength, "blip_length", "s"),
    (EvidenceKind::LongestRun, "longest_run", "1"),
    (EvidenceKind::UserNoise, "user_noise", "dB"),
    (EvidenceKind::NoiseSwings, "noise_swings", "1/s"),
    (EvidenceKind::TailNoise, "tail_noise", "dB"),
    (EvidenceKind::TailUnrest, "tail_unrest", "dB"),
    (EvidenceKind::CutWithoutTail, "cut_without_tail", "1"),
    (EvidenceKind::LongestOver, "longest_over", "s"),
    (EvidenceKind::LongestAlike, "longest_alike", "1"),
    (EvidenceKind::Modulated, "modulated", "1"),
    (EvidenceKind::Tones, "tones", "1"),
    (EvidenceKind::RepeaterBursts, "repeater_bursts", "1"),
    (EvidenceKind::RepeaterLikeness, "repeater_likeness", "1/min"),
    (EvidenceKind::CameBack, "came_back", "1"),
    (EvidenceKind::GapScatter, "gap_scatter", "1"),
    (EvidenceKind::GapLongest, "gap_longest", "s"),
    (EvidenceKind::OnLength, "on_length", "s"),
    (EvidenceKind::BlipRegularity, "blip_regularity", "1"),
    (EvidenceKind::TailLength, "tail_length", "s"),
    (EvidenceKind::TailRegularity, "tail_regularity", "1"),
    (EvidenceKind::QuietEndings, "quiet_endings", "1"),
    (EvidenceKind::Quieting, "quieting", "dB"),
    (EvidenceKind::ListenerBursts, "listener_bursts", "1"),
    (EvidenceKind::Crackle, "crackle", "1"),
    (EvidenceKind::NoiseShare, "noise_share", "1"),
    (EvidenceKind::EvenDrops, "even_drops", "1"),
    (EvidenceKind::EvenDropsSpread, "even_drops_spread", "1"),
    (EvidenceKind::DropSpacing, "drop_spacing", "1"),
    (EvidenceKind::TailOfSpacing, "tail_of_spacing", "1"),
    (EvidenceKind::LossesEach, "losses_each", "1"),
    (EvidenceKind::CourtesyTones, "courtesy_tones", "1"),
    (EvidenceKind::OnAirShare, "on_air_share", "1"),
    (EvidenceKind::KeyUpsSure, "key_ups_sure", "1"),
    (EvidenceKind::LossesSure, "losses_sure", "1"),
    (EvidenceKind::DropsSure, "drops_sure", "1"),
    (EvidenceKind::StatedFact, "stated_fact", "1"),
];

impl EvidenceKind {
    /// How many kinds there are.
    pub const COUNT: usize = MEASURED.len() + Cause::ALL.len();

    /// All kinds, in the order of the tables.
    pub const ALL: [Self; Self::COUNT] = {
        let mut all = [Self::SoundsLike(Cause::SelfDesense); Self::COUNT];
        let mut at = 0;
        while at < Self::COUNT {
            all[at] = if at < MEASURED.len() {
                MEASURED[at].0
            } else {
                Self::SoundsLike(Cause::ALL[at - MEASURED.len()])
            };
            at += 1;
        }
        all
    };

    /// Position in [`EvidenceKind::ALL`].
    #[must_use]
    pub fn index(self) -> usize {
        match self {
            Self::SoundsLike(cause) => MEASURED.len() + cause.index(),
            other => (MEASURED.iter())
                .position(|row| row.0 == other)
                .unwrap_or_else(|| unreachable!("{self:?} has no row among what is measured")),
        }
    }

    /// The fixed word for machines.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::SoundsLike(cause) => match cause {
                Cause::SelfDesense => "like_self_desense",
                Cause::WeakSignalFading => "like_weak_signal_fading",
                Cause::ListenerFading => "like_listener_fading",
                Cause::ListenerDesense => "like_listener_desense",
                Cause::OrdinaryTraffic => "like_ordinary_traffic",
                Cause::HandKeying => "like_hand_keying",
                Cause::TimeoutTimer => "like_timeout_timer",
                Cause::LinkLoop => "like_link_loop",
                Cause::TransmitterFault => "like_transmitter_fault",
                Cause::NoRepeaterAudio => "like_no_repeater_audio",
            },
            measured => MEASURED[measured.index()].1,
        }
    }

    /// Unit of the value, as the contract writes it.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self {
            Self::SoundsLike(_) => "1",
            measured => MEASURED[measured.index()].2,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_kind_stands_once_at_its_place_by_a_word_of_its_own() {
        for (at, kind) in EvidenceKind::ALL.into_iter().enumerate() {
            assert_eq!(kind.index(), at, "{kind:?}");
        }
        for cause in Cause::ALL {
            let word = EvidenceKind::SoundsLike(cause).as_str();
            assert_eq!(word.strip_prefix("like_"), Some(cause.as_str()));
        }
        let words: std::collections::BTreeSet<_> = EvidenceKind::ALL
            .into_iter()
            .map(EvidenceKind::as_str)
            .collect();
        assert_eq!(words.len(), EvidenceKind::COUNT);
    }
}
