//! A whole case at once: everything of it, or nothing.

use super::cases::Measured;
use super::recordings::{Arrived, Correction};
use super::repeaters::Stated;
use super::{Store, audit, cases, notes, recordings, repeaters};
use crate::desk::fault::Outcome;
use crate::desk::moment::now;
use crate::desk::secrets;

/// A case from elsewhere.
pub struct Imported {
    /// Its repeater; one of the same name is taken for the same.
    pub repeater: Stated,
    /// Title.
    pub title: String,
    /// How far it is.
    pub state: &'static str,
    /// What was repaired.
    pub work: String,
    /// The antenna chain.
    pub site_toml: Option<String>,
    /// Changes of state: to which, words, by whom.
    pub history: Vec<(&'static str, String, String)>,
    /// Recordings.
    pub recordings: Vec<ImportedRecording>,
    /// Stepped tests and tee readings.
    pub tests: Vec<Measured>,
    /// Fingerprint of the bundle.
    pub origin: String,
}

/// A recording of it.
pub struct ImportedRecording {
    /// The original; its repeater is not known yet.
    pub arrived: Arrived,
    /// Side of the repair.
    pub phase: &'static str,
    /// What a keeper said that it really is.
    pub corrected: Option<Correction>,
    /// Keepers' notes: words, by whom.
    pub notes: Vec<(String, String)>,
}

impl Store {
    /// Keeps it; gives the key of the case, and the objects whose content was here already.
    ///
    /// # Errors
    /// The database fails; nothing has been changed then.
    pub async fn import(&self, of: &Imported, by: &str) -> Outcome<(String, Vec<String>)> {
        let mut work = self.work().await?;
        let repeater = match repeaters::named(&mut work, &of.repeater.name).await? {
            Some(id) => id,
            None => repeaters::add(&mut work, &of.repeater).await?,
        };
        let case = cases::add(&mut work, &repeater, &of.title, Some(&of.origin)).await?;
        let sql = "UPDATE cases SET state = $1, work = $2, site_toml = $3 WHERE id = $4";
        sqlx::query(sql)
            .bind(of.state)
            .bind(&of.work)
            .bind(&of.site_toml)
            .bind(&case)
            .execute(&mut *work)
            .await?;
        for (state, words, who) in &of.history {
            notes::change(&mut work, &case, state, words, who).await?;
        }
        notes::change(&mut work, &case, of.state, "imported", by).await?;
        let mut spare = Vec::new();
        for recording in &of.recordings {
            let mut arrived = recording.arrived.clone();
            arrived.repeater.clone_from(&repeater);
            let received = recordings::add(&mut work, &arrived).await?;
            if received.spare {
                spare.push(arrived.place);
            }
            self.import_rest(&mut work, &case, &received.id, recording, by)
                .await?;
        }
        for test in &of.tests {
            cases::add_measured(&mut work, &case, test, by).await?;
        }
        audit::write(&mut work, by, "imported a case", &of.title).await?;
        work.commit().await?;
        Ok((case, spare))
    }

    async fn import_rest(
        &self,
        work: &mut super::Work,
        case: &str,
        id: &str,
        recording: &ImportedRecording,
        by: &str,
    ) -> Outcome<()> {
        let sql = "INSERT INTO case_recordings (case_id, recording, phase, added_at) \
                   VALUES ($1, $2, $3, $4)";
        sqlx::query(sql)
            .bind(case)
            .bind(id)
            .bind(recording.phase)
            .bind(now())
            .execute(&mut **work)
            .await?;
        if let Some(said) = &recording.corrected {
            recordings::set_correction(work, id, Some(said), by).await?;
        }
        for (words, who) in &recording.notes {
            let sql = "INSERT INTO notes (id, recording, words, made_by, made_at) \
                       VALUES ($1, $2, $3, $4, $5)";
            sqlx::query(sql)
                .bind(secrets::word())
                .bind(id)
                .bind(words)
                .bind(who)
                .bind(now())
                .execute(&mut **work)
                .await?;
        }
        Ok(())
    }
}
