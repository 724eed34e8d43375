//! Everything that is kept of a case, read at once.

use super::dossier::{self, Saved};
use crate::compare::{Comparison, Stated};
use crate::desk::app::App;
use crate::desk::bundle::entry_name;
use crate::desk::fault::Outcome;
use crate::desk::store::rows::{Case, Measurement, Recording, Repeater};

/// Everything that is kept of a case.
pub struct Whole {
    /// The case.
    pub case: Case,
    /// Its repeater.
    pub repeater: Repeater,
    /// Its recordings with their sides of the repair.
    pub recordings: Vec<(Recording, String)>,
    /// What was measured.
    pub measured: Vec<Measurement>,
    /// Saved results for the comparison.
    pub saved: Vec<Saved>,
}

/// Reads everything that is kept of a case.
///
/// # Errors
/// There is none such, or the database fails.
pub async fn read(app: &App, id: &str) -> Outcome<Whole> {
    let case = app.store.case(id).await?;
    let recordings = app.store.recordings_in(id).await?;
    let measured = app.store.measured_in(id).await?;
    let mut saved = Vec::new();
    for (n, (recording, phase)) in recordings.iter().enumerate() {
        if let Some(kept) = app.store.result_of(&recording.id).await? {
            saved.push(Saved {
                phase: phase.clone(),
                name: format!("results/{}.json", entry_name(n + 1, &recording.file_name)),
                json: kept.check_json,
            });
        }
    }
    for (n, test) in measured.iter().enumerate() {
        // Tee readings are no trials: the comparison knows nothing of them.
        if test.kind == "backoff" {
            saved.push(Saved {
                phase: test.phase.clone(),
                name: format!("tests/{}-backoff.json", n + 1),
                json: test.result_json.clone(),
            });
        }
    }
    Ok(Whole {
        repeater: app.store.repeater(&case.repeater).await?,
        case,
        recordings,
        measured,
        saved,
    })
}

impl Whole {
    /// Before against after, once there is something on both sides.
    ///
    /// # Errors
    /// One recording stands on both sides, or what is kept is damaged.
    pub fn comparison(&self) -> Outcome<Option<Comparison>> {
        let work = Some(self.case.work.clone()).filter(|work| !work.is_empty());
        let stated = Stated {
            station: Some(self.repeater.name.clone()),
            work,
        };
        dossier::comparison(&self.saved, stated)
    }
}
