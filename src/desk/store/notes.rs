//! Keepers' notes on recordings, and the history of cases.

use super::rows::Note;
use super::{Store, Work};
use crate::desk::fault::Outcome;
use crate::desk::moment::now;
use crate::desk::secrets;

/// Writes down that a case changed its state.
pub(super) async fn change(
    work: &mut Work,
    case: &str,
    state: &str,
    words: &str,
    by: &str,
) -> Outcome<()> {
    let sql = "INSERT INTO notes (id, case_id, words, new_state, made_by, made_at) \
               VALUES ($1, $2, $3, $4, $5, $6)";
    sqlx::query(sql)
        .bind(secrets::word())
        .bind(case)
        .bind(words)
        .bind(state)
        .bind(by)
        .bind(now())
        .execute(&mut **work)
        .await?;
    Ok(())
}

impl Store {
    /// Writes a note on a recording.
    ///
    /// # Errors
    /// The database fails.
    pub async fn note(&self, recording: &str, words: &str, by: &str) -> Outcome<()> {
        let sql = "INSERT INTO notes (id, recording, words, made_by, made_at) \
                   VALUES ($1, $2, $3, $4, $5)";
        sqlx::query(sql)
            .bind(secrets::word())
            .bind(recording)
            .bind(words)
            .bind(by)
            .bind(now())
            .execute(&self.pool)
            .await?;
        Ok(())
    }

    /// A recording's notes, oldest first.
    ///
    /// # Errors
    /// The database fails.
    pub async fn notes_on(&self, recording: &str) -> Outcome<Vec<Note>> {
        let sql = "SELECT id, words, new_state, made_by, made_at FROM notes \
                   WHERE recording = $1 ORDER BY made_at, id";
        let query = sqlx::query_as(sql).bind(recording);
        Ok(query.fetch_all(&self.pool).await?)
    }

    /// A case's history, oldest first.
    ///
    /// # Errors
    /// The database fails.
    pub async fn history_of(&self, case: &str) -> Outcome<Vec<Note>> {
        let sql = "SELECT id, words, new_state, made_by, made_at FROM notes \
                   WHERE case_id = $1 ORDER BY made_at, id";
        Ok(sqlx::query_as(sql).bind(case).fetch_all(&self.pool).await?)
    }
}
