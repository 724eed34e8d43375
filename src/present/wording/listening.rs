//! How the recording was made, and doubts about it with what the user can do.

use crate::intake::recording::SkippedClip;
use crate::present::numbers::{clock, count, hertz, percent, span};
use crate::timeline::types::{ListeningMode, Warning};

/// A few words.
#[must_use]
pub const fn mode(mode: ListeningMode) -> &'static str {
    match mode {
        ListeningMode::Squelched => "squelched: the set is mute without a carrier",
        ListeningMode::OpenSquelch => "squelch open: the set hisses without a carrier",
        ListeningMode::BurstsOnly => {
            "only noise bursts and voices stand out; a quiet carrier \
             cannot be told from none"
        }
        ListeningMode::NoGaps => "the pauses were cut out by a voice-activated recorder",
        ListeningMode::NotFm => "nothing of an FM receiver in it",
    }
}

/// One or two words.
#[must_use]
pub const fn mode_short(mode: ListeningMode) -> &'static str {
    match mode {
        ListeningMode::Squelched => "squelched",
        ListeningMode::OpenSquelch => "squelch open",
        ListeningMode::BurstsOnly => "bursts only",
        ListeningMode::NoGaps => "pauses cut out",
        ListeningMode::NotFm => "not FM",
    }
}

/// The fixed word for machines.
#[must_use]
pub const fn code(warning: &Warning) -> &'static str {
    match warning {
        Warning::Clipped { .. } => "clipped",
        Warning::Damaged { .. } => "damaged",
        Warning::Truncated { .. } => "truncated",
        Warning::ClipClock { .. } => "clip_clock",
        Warning::GapsMayBeCut { .. } => "gaps_may_be_cut",
        Warning::PausesAllEqual { .. } => "pauses_all_equal",
        Warning::NarrowBand { .. } => "narrow_band",
        Warning::StatedModeDoubtful { .. } => "stated_mode_doubtful",
        Warning::CutAtEdge { .. } => "cut_at_edge",
        Warning::Short { .. } => "short",
    }
}

/// Clips that were left out, each with its reason.
#[must_use]
pub fn skipped_clips(skipped: &[SkippedClip]) -> Option<String> {
    let named: Vec<String> = skipped
        .iter()
        .take(3)
        .map(|clip| format!("{} ({})", clip.name, clip.reason))
        .collect();
    let more = if skipped.len() > 3 {
        ", and others"
    } else {
        ""
    };
    (!skipped.is_empty()).then(|| {
        format!(
            "{} could not be read and left holes: {}{more}.",
            count(skipped.len(), "clip", "clips"),
            named.join(", ")
        )
    })
}

/// The doubt, its number, and the remedy.
#[must_use]
pub fn warning(warning: &Warning) -> String {
    match *warning {
        Warning::Clipped { share } => format!(
            "Overdriven: {} of it touches full scale. Noise levels read from it are too low; \
             record again at half the level.",
            percent(share)
        ),
        Warning::Damaged {
            places,
            lost,
            first,
        } => format!(
            "Damaged at {}, the first at {}: {} of sound is missing and was left silent. Ask for \
             the file as it was first saved.",
            count(places, "place", "places"),
            clock(first),
            span(lost)
        ),
        Warning::Truncated { at } => format!(
            "The file breaks off at {}, before the end that its header tells. Everything up to \
             there was used.",
            clock(at)
        ),
        Warning::ClipClock { resolution } => format!(
            "The gaps between the clips come from their start times, which are good to {} only. \
             For the gaps themselves, record without voice activation.",
            span(resolution)
        ),
        Warning::GapsMayBeCut { chance } => format!(
            "A voice-activated recorder may have shortened the pauses (chance {}). The gaps are told as \
             heard; if it was one, record again with voice activation off.",
            percent(chance)
        ),
        Warning::PausesAllEqual { pause } => format!(
            "All pauses last {}: a voice-activated recorder's hold time would look like that. \
             If it was one, record again with voice activation off.",
            span(pause)
        ),
        Warning::NarrowBand { bandwidth } => format!(
            "Nothing above {} comes through, so noise and speech are hard to tell apart. A \
             recording by cable, or a better codec, would help.",
            hertz(bandwidth)
        ),
        Warning::StatedModeDoubtful { stated, heard } => format!(
            "You stated \"{}\", but it sounds like \"{}\". Check the setting, or leave it away.",
            mode_short(stated),
            mode_short(heard)
        ),
        Warning::CutAtEdge { at_start: true } => "It starts in the middle of a transmission; when \
             that one began is not known."
            .into(),
        Warning::CutAtEdge { at_start: false } => "It ends in the middle of a transmission; what \
             happened next is not known."
            .into(),
        Warning::Short { heard } => format!(
            "Only {} were heard, too little to judge well. Record three minutes while it happens.",
            span(heard)
        ),
    }
}
