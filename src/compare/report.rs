//! Two sets to the whole comparison.

use super::change::{DesenseChange, RateChange, ShareChange, desense, rate, share};
use super::doubts::{Doubt, doubts};
use super::evidence::{Content, Exhibit};
use super::tally::{Tally, tally};
use crate::error::{Error, Result};
use std::collections::BTreeMap;

/// What the keeper states beside the evidence.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Stated {
    /// The station.
    pub station: Option<String>,
    /// What was done between the two sets.
    pub work: Option<String>,
}

/// Everything that two sets tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Files from before.
    pub before: Vec<Exhibit>,
    /// Files from after.
    pub after: Vec<Exhibit>,
    /// What was stated.
    pub stated: Stated,
    /// The set from before in numbers.
    pub tally_before: Tally,
    /// The set from after in numbers.
    pub tally_after: Tally,
    /// How the share of drops that come back changed.
    pub share: ShareChange,
    /// How the rate of cycles changed.
    pub rate: Option<RateChange>,
    /// How the desense changed, by the stepped tests.
    pub desense: Option<DesenseChange>,
    /// What stands against it, gravest first.
    pub doubts: Vec<Doubt>,
}

/// Compares.
///
/// # Errors
/// A set is empty, or one recording (or stepped test) is counted twice.
pub fn compare(before: Vec<Exhibit>, after: Vec<Exhibit>, stated: Stated) -> Result<Comparison> {
    for (flag, set) in [("--before", &before), ("--after", &after)] {
        if set.is_empty() {
            return Err(Error::BadSetting {
                place: flag.into(),
                what: "there is no file in this set".into(),
                remedy: "name recordings or saved reports from before and from after".into(),
            });
        }
    }
    counted_once(&before, &after)?;
    let (tally_before, tally_after) = (tally(&before)?, tally(&after)?);
    Ok(Comparison {
        share: share(&tally_before, &tally_after),
        rate: rate(&tally_before, &tally_after),
        desense: desense(&tally_before, &tally_after),
        doubts: doubts((&before, &after), &tally_before, &tally_after),
        before,
        after,
        stated,
        tally_before,
        tally_after,
    })
}

/// A recording is known by its own digest, so that it and its saved report are one; a stepped
/// test by that of its file.
fn counted_once(before: &[Exhibit], after: &[Exhibit]) -> Result<()> {
    let mut seen: BTreeMap<&str, (&str, &str)> = BTreeMap::new();
    for (flag, set) in [("--before", before), ("--after", after)] {
        for exhibit in set {
            for content in &exhibit.content {
                let digest = match content {
                    Content::Recording(heard) | Content::SavedCheck(heard) => &heard.sha256,
                    Content::SavedTest(_) => &exhibit.sha256,
                };
                if let Some((flag_1, file_1)) = seen.insert(digest, (flag, &exhibit.file)) {
                    return Err(twice((flag_1, file_1), (flag, &exhibit.file)));
                }
            }
        }
    }
    Ok(())
}

fn twice(first: (&str, &str), second: (&str, &str)) -> Error {
    let what = if first.0 == second.0 {
        format!("holds the same as {}: it would count twice", first.1)
    } else {
        format!("holds the same as {} of {}", first.1, first.0)
    };
    Error::BadSetting {
        place: format!("{} {}", second.0, second.1),
        what,
        remedy: "name each recording once, either itself or its saved report".into(),
    }
}
