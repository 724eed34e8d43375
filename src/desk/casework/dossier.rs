//! Before against after, from what is kept of the case: the same comparison, and the same sheet,
//! as `compare` makes of saved results.

use crate::compare::change::Finding;
use crate::compare::{Comparison, Exhibit, Stated, compare};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::secrets;
use crate::desk::view::Dossier;
use crate::present::compare::{CompareJson, dossier, read};
use crate::present::site::json;
use crate::present::wording::compare as words;
use sha2::{Digest, Sha256};

/// One saved result on one side of the repair.
#[derive(Debug, Clone)]
pub struct Saved {
    /// `before` or `after`; others do not count.
    pub phase: String,
    /// How the sheet calls it.
    pub name: String,
    /// The published result of a check or a stepped test.
    pub json: String,
}

/// The comparison, once there is something on both sides.
///
/// # Errors
/// The same recording stands on both sides, or what is kept is damaged.
pub fn comparison(saved: &[Saved], stated: Stated) -> Outcome<Option<Comparison>> {
    let side = |phase: &str| -> Outcome<Vec<Exhibit>> {
        let of = saved.iter().filter(|s| s.phase == phase);
        of.map(exhibit).collect()
    };
    let (before, after) = (side("before")?, side("after")?);
    if before.is_empty() || after.is_empty() {
        return Ok(None);
    }
    compare(before, after, stated).map(Some).map_err(|fault| {
        // Its flags mean nothing here.
        let words = fault.to_string().replace("--before", "before:");
        Fault::Bad(words.replace("--after", "after:"))
    })
}

fn exhibit(saved: &Saved) -> Outcome<Exhibit> {
    // As the file of the case's bundle, so that its fingerprint can be looked up there.
    let text = format!("{}\n", saved.json);
    Ok(Exhibit {
        file: saved.name.clone(),
        sha256: secrets::hex(&Sha256::digest(text.as_bytes())),
        content: read(&saved.name, &text)?,
    })
}

/// What a case's page says of it.
#[must_use]
pub fn shown(of: &Comparison) -> Dossier {
    Dossier {
        headline: words::headline(of),
        paragraphs: words::paragraphs(of),
        next_step: words::next_step(of),
        enough: of.share.finding == Finding::Gone,
    }
}

/// The sheet, and the machine-readable comparison that it names by its fingerprint.
#[must_use]
pub fn sheet(of: &Comparison) -> (String, String) {
    let text = format!("{}\n", json::line(&CompareJson::from(of)));
    let page = dossier::page(of, &secrets::hex(&Sha256::digest(text.as_bytes())));
    (page, text)
}
