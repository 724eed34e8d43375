//! Words that several pages share.

use crate::cause::verdict::{Cause, Label};
use crate::desk::view::{CaseState, Phase, Role, Squelch};
use crate::present::numbers::percent;
use crate::present::wording::{causes, listening};
use crate::timeline::types::ListeningMode;

/// A verdict's fixed word as the trade says it.
pub fn verdict(word: &str) -> &'static str {
    known_verdict(word).unwrap_or("unknown verdict")
}

/// The same, where it is one.
pub fn known_verdict(word: &str) -> Option<&'static str> {
    label(word).map(causes::trade_word)
}

/// All verdicts as fixed word and the trade's word.
pub fn verdicts() -> Vec<(String, String)> {
    (labels())
        .map(|label| {
            (
                label.as_str().to_owned(),
                causes::trade_word(label).to_owned(),
            )
        })
        .collect()
}

fn label(word: &str) -> Option<Label> {
    labels().find(|label| label.as_str() == word)
}

fn labels() -> impl Iterator<Item = Label> {
    (Cause::ALL.into_iter().map(Label::Cause)).chain([Label::Inconclusive])
}

/// A listening mode's fixed word in a few plain ones.
pub fn mode(word: &str) -> &'static str {
    let found = ListeningMode::ALL
        .into_iter()
        .find(|mode| mode.as_str() == word);
    found.map_or("unknown", listening::mode)
}

/// All listening modes as fixed word and in plain ones.
pub fn modes() -> Vec<(String, String)> {
    let all = ListeningMode::ALL.map(ListeningMode::as_str).into_iter();
    all.map(|word| (word.to_owned(), mode(word).to_owned()))
        .collect()
}

/// A state of a case.
pub const fn state(state: CaseState) -> &'static str {
    match state {
        CaseState::Opened => "opened",
        CaseState::Confirmed => "confirmed",
        CaseState::Hunted => "being hunted",
        CaseState::Repaired => "repaired",
        CaseState::Proven => "proven",
    }
}

/// A side of the repair.
pub const fn phase(phase: Phase) -> &'static str {
    match phase {
        Phase::Before => "before the repair",
        Phase::After => "after the repair",
        Phase::Beside => "not compared",
    }
}

/// What somebody may do.
pub const fn role(role: Role) -> &'static str {
    match role {
        Role::Keeper => "keeper: judges and changes",
        Role::Reader => "reader: sees all, changes nothing",
    }
}

/// How the set was squelched.
pub const fn squelch(squelch: Squelch) -> &'static str {
    match squelch {
        Squelch::Unknown => "I do not know",
        Squelch::Open => "Open: it hisses while nobody transmits",
        Squelch::Closed => "Closed: it is silent while nobody transmits",
    }
}

/// Size of a file.
pub fn size(bytes: u64) -> String {
    let bytes = bytes as f64;
    if bytes < 1e3 {
        format!("{bytes:.0}\u{a0}bytes")
    } else if bytes < 1e6 {
        format!("{:.0}\u{a0}kB", bytes / 1e3)
    } else if bytes < 1e9 {
        format!("{}\u{a0}MB", tenths(bytes / 1e6))
    } else {
        format!("{}\u{a0}GB", tenths(bytes / 1e9))
    }
}

/// With one decimal, where it says something.
fn tenths(value: f64) -> String {
    let said = format!("{value:.1}");
    said.strip_suffix(".0").map_or(said.clone(), str::to_owned)
}

/// A long time, as people say it.
pub fn minutes(minutes: u32) -> String {
    match (minutes / 60, minutes % 60) {
        (1, 0) => "an hour".into(),
        (hours @ 2.., 0) => format!("{hours}\u{a0}hours"),
        _ => format!("{minutes}\u{a0}minutes"),
    }
}

/// Outcomes in figures, or a dash where there were none.
pub fn of_trials(came_back: usize, trials: usize) -> String {
    match trials {
        0 => "\u{2013}".into(),
        _ => format!("{came_back} of {trials}"),
    }
}

/// Outcomes as a share.
pub fn share_of(came_back: usize, trials: usize) -> Option<String> {
    (trials > 0).then(|| percent(came_back as f64 / trials as f64))
}
