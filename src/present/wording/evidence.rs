//! One sentence for each measured thing, and how heavily it weighs.

use super::causes::name;
use crate::cause::evidence::{Evidence, EvidenceKind};
use crate::cause::verdict::Cause;
use crate::present::numbers::{db, percent, span};
use crate::tuning::present as limit;
use crate::units::{Decibels, Seconds};

/// What was measured, as a sentence that carries its number.
#[must_use]
pub fn sentence(item: &Evidence) -> String {
    let v = item.value;
    match item.kind {
        EvidenceKind::CameBackFraction => {
            format!(
                "The carrier came straight back after {} of the drops.",
                percent(v)
            )
        }
        EvidenceKind::GapRegularity => {
            format!("The silences before it came back {}.", evenness(v))
        }
        EvidenceKind::GapLength => {
            format!(
                "The carrier was away for {} (middle value).",
                span(Seconds(v))
            )
        }
        EvidenceKind::OnRegularity => format!("The transmissions {}.", evenness(v)),
        EvidenceKind::PeriodRegularity => {
            format!("The beats, from key-up to key-up, {}.", evenness(v))
        }
        EvidenceKind::TailMatch => {
            format!(
                "{} of the quiet tails lasted as long as the hang time.",
                percent(v)
            )
        }
        EvidenceKind::LongestRun => {
            format!("It came back {v:.0} times in a row, after transmissions of one length.")
        }
        EvidenceKind::BlipLength => format!(
            "The repeater held the user for {} after coming up (middle value).",
            span(Seconds(v))
        ),
        EvidenceKind::UserNoise => format!(
            "The noise under the user stood {} full receiver noise.",
            relative_to_full_noise(v)
        ),
        EvidenceKind::NoiseSwings => {
            format!("The noise rose to nearly full {v:.1} times a second within the overs.")
        }
        EvidenceKind::TailNoise => format!(
            "The noise on the repeater's own silent tail stood {} full receiver noise.",
            relative_to_full_noise(v)
        ),
        EvidenceKind::TailUnrest => format!(
            "The noise on the silent tail wandered by {}.",
            db(Decibels(v))
        ),
        EvidenceKind::CutWithoutTail => {
            format!(
                "{} of the transmissions were cut off with no quiet tail.",
                percent(v)
            )
        }
        EvidenceKind::LongestOver => {
            format!("The longest transmission lasted {}.", span(Seconds(v)))
        }
        EvidenceKind::LongestAlike => {
            format!("The three longest transmissions {}.", evenness(v))
        }
        EvidenceKind::Modulated => {
            format!(
                "Speech or other sound filled {} of the user's part.",
                percent(v)
            )
        }
        EvidenceKind::Tones if v < 0.05 => "There were no tones in the transmissions.".into(),
        EvidenceKind::Tones => format!("There were {v:.1} tones a transmission."),
        EvidenceKind::RepeaterBursts => format!(
            "A burst of the repeater's own squelch noise ended the user in {} of the \
             transmissions.",
            percent(v)
        ),
        EvidenceKind::RepeaterLikeness => format!(
            "The noise stepped up or down {v:.1} times a minute, as an FM receiver's does when a \
             carrier comes or goes."
        ),
        EvidenceKind::CameBack => format!("It came straight back {v:.0} times in all."),
        EvidenceKind::GapScatter => format!(
            "With every stray counted, the silences before it came back scatter by {} of their mean.",
            percent(v)
        ),
        EvidenceKind::GapLongest => format!(
            "The longest silence before it came back lasted {}.",
            span(Seconds(v))
        ),
        EvidenceKind::OnLength => {
            format!("A transmission lasted {} (middle value).", span(Seconds(v)))
        }
        EvidenceKind::BlipRegularity => {
            format!("The times that the user was held {}.", evenness(v))
        }
        EvidenceKind::TailLength => {
            format!("A quiet tail lasted {} (middle value).", span(Seconds(v)))
        }
        EvidenceKind::TailRegularity => format!("The quiet tails {}.", evenness(v)),
        EvidenceKind::QuietEndings => format!(
            "{} of the transmissions ended in a carrier that stayed quiet as a hang timer keeps it.",
            percent(v)
        ),
        EvidenceKind::Quieting => format!(
            "The user was quieted by {} just before he was lost (middle value).",
            db(Decibels(v))
        ),
        EvidenceKind::ListenerBursts => format!(
            "The listener's own squelch was heard to close after {} of the drops.",
            percent(v)
        ),
        EvidenceKind::Crackle if v < 1.0 => {
            "The noise under the user was smooth, without crackle.".into()
        }
        EvidenceKind::Crackle => format!(
            "The noise under the user crackled: its peaks stand out {v:.1} over those of smooth noise \
             (kurtosis excess)."
        ),
        EvidenceKind::NoiseShare => format!(
            "Full receiver noise filled {} of the recording.",
            percent(v)
        ),
        EvidenceKind::EvenDrops if v < 1.5 => {
            "No three drops of the carrier came at even distances.".into()
        }
        EvidenceKind::EvenDrops => format!(
            "{:.0} drops of the carrier in a row came at even distances.",
            v + 1.0
        ),
        EvidenceKind::EvenDropsSpread => format!(
            "In the most even stretch, the distances from drop to drop {}.",
            evenness(v)
        ),
        EvidenceKind::DropSpacing => {
            format!("The distances from drop to drop {}.", evenness(v))
        }
        EvidenceKind::TailOfSpacing => format!(
            "The quiet tail took {} of the time from drop to drop (middle values).",
            percent(v)
        ),
        EvidenceKind::LossesEach => {
            format!("The repeater lost the user {v:.1} times a transmission.")
        }
        EvidenceKind::CourtesyTones if v < 0.05 => "There were no courtesy tones.".into(),
        EvidenceKind::CourtesyTones => {
            format!("There were {v:.1} courtesy tones a transmission.")
        }
        EvidenceKind::OnAirShare => format!(
            "From the first key-up to the last drop, the carrier was heard for {} of the time.",
            percent(v)
        ),
        EvidenceKind::KeyUpsSure => {
            format!(
                "The key-ups could be heard with a sureness of {}.",
                percent(v)
            )
        }
        EvidenceKind::LossesSure => format!(
            "The losses of the user could be heard with a sureness of {}.",
            percent(v)
        ),
        EvidenceKind::DropsSure => {
            format!(
                "The drops could be heard with a sureness of {}.",
                percent(v)
            )
        }
        EvidenceKind::SoundsLike(cause) => sounds_like(cause, v),
        EvidenceKind::StatedFact => {
            "The tails were held against the hang time that you stated.".into()
        }
    }
}

fn sounds_like(cause: Cause, chance: f64) -> String {
    format!(
        "Heard as a whole, by its sound alone, this is \u{201c}{}\u{201d} with a chance of {}.",
        name(cause),
        percent(chance)
    )
}

fn evenness(cv: f64) -> String {
    let word = if !cv.is_finite() {
        return "could not be compared".into();
    } else if cv <= limit::ALIKE_CV {
        "are all alike"
    } else if cv <= limit::ROUGHLY_ALIKE_CV {
        "are roughly alike"
    } else {
        "are of all lengths"
    };
    format!("{word}: they scatter by {} of their mean", percent(cv))
}

fn relative_to_full_noise(v: f64) -> String {
    if v.abs() < 0.05 {
        "as high as".into()
    } else if v < 0.0 {
        format!("{} below", db(Decibels(-v)))
    } else {
        format!("{} above", db(Decibels(v)))
    }
}

/// How heavily an item weighs, and to which side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// 100 to 1 against, or more.
    HeavyAgainst,
    /// 10 to 1 against.
    ClearAgainst,
    /// 2 to 1 against.
    HintAgainst,
    /// Neither.
    Undecided,
    /// 2 to 1 for.
    HintFor,
    /// 10 to 1 for.
    ClearFor,
    /// 100 to 1 for, or more.
    HeavyFor,
}

/// Weight of a log10 of odds.
#[must_use]
pub fn weight(log10_odds: f64) -> Weight {
    let size = log10_odds.abs();
    let for_it = log10_odds > 0.0;
    if size >= limit::HEAVY_LOG10 {
        if for_it {
            Weight::HeavyFor
        } else {
            Weight::HeavyAgainst
        }
    } else if size >= limit::CLEAR_LOG10 {
        if for_it {
            Weight::ClearFor
        } else {
            Weight::ClearAgainst
        }
    } else if size >= limit::HINT_LOG10 {
        if for_it {
            Weight::HintFor
        } else {
            Weight::HintAgainst
        }
    } else {
        Weight::Undecided
    }
}

impl Weight {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::HeavyAgainst => "weighs heavily against it",
            Self::ClearAgainst => "speaks against it",
            Self::HintAgainst => "a hint against it",
            Self::Undecided => "decides nothing",
            Self::HintFor => "a hint for it",
            Self::ClearFor => "speaks for it",
            Self::HeavyFor => "weighs heavily for it",
        }
    }

    /// As a mark of fixed width, for terminals: pluses for, minuses against.
    #[must_use]
    pub const fn mark(self) -> &'static str {
        match self {
            Self::HeavyAgainst => "---",
            Self::ClearAgainst => "-- ",
            Self::HintAgainst => "-  ",
            Self::Undecided => "0  ",
            Self::HintFor => "+  ",
            Self::ClearFor => "++ ",
            Self::HeavyFor => "+++",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::present::numbers::plain;

    #[test]
    fn every_kind_has_a_sentence_of_its_own() {
        let said: std::collections::BTreeSet<_> = EvidenceKind::ALL
            .map(|kind| {
                sentence(&Evidence {
                    kind,
                    value: 0.5,
                    log10_odds: 0.0,
                })
            })
            .into_iter()
            .collect();
        assert_eq!(said.len(), EvidenceKind::ALL.len());
    }

    #[test]
    fn weights_turn_at_two_ten_and_a_hundred_to_one() {
        assert_eq!(weight(2.0), Weight::HeavyFor);
        assert_eq!(weight(1.99), Weight::ClearFor);
        assert_eq!(weight(0.29), Weight::Undecided);
        assert_eq!(weight(-0.3), Weight::HintAgainst);
        assert_eq!(weight(-7.0), Weight::HeavyAgainst);
        assert_eq!(weight(f64::NAN), Weight::Undecided);
    }

    #[test]
    fn noise_is_placed_on_the_right_side() {
        let said = |value| {
            plain(&sentence(&Evidence {
                kind: EvidenceKind::UserNoise,
                value,
                log10_odds: 1.0,
            }))
        };
        assert_eq!(
            said(-4.0),
            "The noise under the user stood 4.0 dB below full receiver noise."
        );
        assert_eq!(
            said(0.0),
            "The noise under the user stood as high as full receiver noise."
        );
    }
}
