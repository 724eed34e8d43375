//! A verification in words.

use crate::compare::verification::{Looked, Rerun, State, Verification};
use crate::present::numbers::count;

/// Above the headline.
pub const KICKER: &str = "Evidence looked at again";
/// Heading.
pub const EXHIBITS: &str = "The evidence";
/// Heading.
pub const BEHIND: &str = "Recordings behind saved reports";
/// Heading.
pub const PAGES: &str = "Page and pictures";
/// Heading.
pub const RERUN: &str = "Compared once more";
/// Heading.
pub const DIFFERENCES: &str = "What differs";

/// One line.
#[must_use]
pub fn headline(of: &Verification) -> &'static str {
    if of.holds() {
        "It holds: the evidence is unchanged, and comes out the same"
    } else if of.exhibits.iter().any(changed) {
        "It does not hold: evidence was changed"
    } else if of.exhibits.iter().any(|l| l.state == State::Missing) {
        "It cannot be told: evidence is missing"
    } else if of.behind.iter().chain(&of.pages).any(changed) {
        "The evidence holds, but what lies beside it was changed"
    } else {
        "It does not hold: the evidence is unchanged, but comes out otherwise"
    }
}

fn changed(looked: &Looked) -> bool {
    matches!(looked.state, State::Changed { .. })
}

/// A sentence or two.
#[must_use]
pub fn paragraph(of: &Verification) -> String {
    let same = of.exhibits.iter().filter(|l| l.state.is_same()).count();
    let all = count(of.exhibits.len(), "file", "files");
    let advice = if of.exhibits.iter().any(|l| l.state == State::Missing) {
        " Files are looked for as the result names them, beside the result and one folder up, and in \
         folders named with --evidence."
    } else {
        ""
    };
    format!(
        "{same} of {all} named in {} still have their fingerprint.{advice}",
        of.result
    )
}

/// One file.
#[must_use]
pub fn looked(looked: &Looked) -> String {
    match &looked.state {
        State::Same { at } if *at == looked.file => format!("{}: unchanged", looked.file),
        State::Same { at } => format!("{}: unchanged, found as {at}", looked.file),
        State::Changed { at } => format!("{}: CHANGED, found as {at}", looked.file),
        State::Missing => format!("{}: not found", looked.file),
    }
}

/// The comparison made once more.
#[must_use]
pub fn rerun(rerun: &Rerun) -> String {
    match rerun {
        Rerun::NotDone => "Not done, because not all of the evidence is there unchanged.".into(),
        Rerun::Failed { why } => format!("It could not be done: {why}."),
        Rerun::Done {
            saved_by,
            version,
            differences,
        } => {
            let versions = if saved_by == version {
                format!("by the same version ({version})")
            } else {
                format!("by version {version}; {saved_by} made the saved one")
            };
            if differences.is_empty() {
                format!("Every figure and every sentence agrees, {versions}.")
            } else {
                format!(
                    "{}, {versions}.",
                    count(differences.len(), "field differs", "fields differ")
                )
            }
        }
    }
}
