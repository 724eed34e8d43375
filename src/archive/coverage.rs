//! What of a recording's time could be heard, and what could not and why.

use crate::check::Check;
use crate::intake::recording::DamageKind;
use crate::timeline::types::ListeningMode;
use crate::units::Seconds;

/// One recording's time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coverage {
    /// Length on the recording's clock.
    pub recorded: Seconds,
    /// Time in which a drop and its return would have been seen.
    pub heard: Seconds,
    /// The rest.
    pub unusable: Seconds,
    /// Why most of the rest is of no use; `None` where nothing is lost.
    pub why: Option<Unusable>,
}

/// Why time is of no use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unusable {
    /// Not the sound of an FM receiver.
    NotFm,
    /// The recorder cut the pauses out, and with them the gaps that would tell.
    GapsCut,
    /// Packets or samples were lost.
    Damaged,
    /// The file could not be read.
    Unreadable,
}

impl Unusable {
    /// The fixed word for machines.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::NotFm => "not_fm",
            Self::GapsCut => "gaps_cut",
            Self::Damaged => "damaged",
            Self::Unreadable => "unreadable",
        }
    }
}

/// Coverage of one checked recording. Clips of a voice-activated recorder that were put on one
/// clock count with the silence between them: that their gaps are known makes it heard.
#[must_use]
pub fn of(check: &Check) -> Coverage {
    let recorded = check.recording.duration;
    let whole = |why| Coverage {
        recorded,
        heard: Seconds(0.0),
        unusable: recorded,
        why: Some(why),
    };
    match check.timeline.listening.mode {
        ListeningMode::NotFm => whole(Unusable::NotFm),
        ListeningMode::NoGaps => whole(Unusable::GapsCut),
        ListeningMode::Squelched | ListeningMode::OpenSquelch | ListeningMode::BurstsOnly => {
            // A truncated end is not on the clock at all.
            let lost: f64 = (check.recording.damage.iter())
                .filter(|d| d.kind != DamageKind::Truncated)
                .map(|d| d.lost.get())
                .sum();
            // An empty sum is minus nothing.
            let lost = lost.clamp(0.0, recorded.get()) + 0.0;
            Coverage {
                recorded,
                heard: Seconds(recorded.get() - lost),
                unusable: Seconds(lost),
                why: (lost > 0.0).then_some(Unusable::Damaged),
            }
        }
    }
}
