//! Cases: what gathers recordings, tests and the search, from the first complaint to the proof.

use super::rows::{Case, Measurement, Recording};
use super::{Store, Work, audit, notes};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::moment::now;
use crate::desk::secrets;
use sqlx::{FromRow, Row};

const COLUMNS: &str = "id, repeater, title, state, work, site_toml, made_at, changed_at, origin";

/// Something measured, to be kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// `backoff` or `tee`.
    pub kind: &'static str,
    /// `before`, `after` or `beside`.
    pub phase: String,
    /// The day, as typed.
    pub day: String,
    /// As typed.
    pub sheet: String,
    /// The squelch's hysteresis, where it was stated.
    pub hysteresis_db: Option<f64>,
    /// What came out.
    pub result_json: String,
    /// Desense in dB.
    pub desense_db: Option<f64>,
}

impl Store {
    /// Opens a case; gives its key.
    ///
    /// # Errors
    /// The database fails.
    pub async fn new_case(&self, repeater: &str, title: &str, by: &str) -> Outcome<String> {
        let mut work = self.work().await?;
        let id = add(&mut work, repeater, title, None).await?;
        notes::change(&mut work, &id, "opened", "", by).await?;
        audit::write(&mut work, by, "opened a case", title).await?;
        work.commit().await?;
        Ok(id)
    }

    /// One.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn case(&self, id: &str) -> Outcome<Case> {
        let sql = format!("SELECT {COLUMNS} FROM cases WHERE id = $1");
        let query = sqlx::query_as(sqlx::AssertSqlSafe(sql)).bind(id);
        let found = query.fetch_optional(&self.pool).await?;
        found.ok_or(Fault::Missing)
    }

    /// A repeater's cases (empty: all), the latest first, each with how many recordings it has.
    ///
    /// # Errors
    /// The database fails.
    pub async fn cases(&self, repeater: &str) -> Outcome<Vec<(Case, i64)>> {
        let sql = format!(
            "SELECT {COLUMNS}, (SELECT COUNT(*) FROM case_recordings m WHERE m.case_id = cases.id) \
             AS recordings FROM cases WHERE ($1 = '' OR repeater = $1) \
             ORDER BY changed_at DESC, id"
        );
        let rows = sqlx::query(sqlx::AssertSqlSafe(sql))
            .bind(repeater)
            .fetch_all(&self.pool)
            .await?;
        let read = rows
            .iter()
            .map(|row| Ok::<_, sqlx::Error>((Case::from_row(row)?, row.try_get("recordings")?)));
        Ok(read.collect::<Result<_, _>>()?)
    }

    /// Titles of the cases that a recording is in.
    ///
    /// # Errors
    /// The database fails.
    pub async fn cases_of(&self, repeater: &str) -> Outcome<Vec<(String, String, String)>> {
        let sql = "SELECT m.recording, c.id, c.title FROM case_recordings m \
                   JOIN cases c ON c.id = m.case_id \
                   WHERE ($1 = '' OR c.repeater = $1) ORDER BY c.made_at";
        Ok(sqlx::query_as(sql)
            .bind(repeater)
            .fetch_all(&self.pool)
            .await?)
    }

    /// Moves a case on, or back.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn move_case(&self, id: &str, state: &str, words: &str, by: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        let sql = "UPDATE cases SET state = $1, changed_at = $2 WHERE id = $3";
        let done = sqlx::query(sql)
            .bind(state)
            .bind(now())
            .bind(id)
            .execute(&mut *work)
            .await?;
        if done.rows_affected() == 0 {
            return Err(Fault::Missing);
        }
        notes::change(&mut work, id, state, words, by).await?;
        audit::write(&mut work, by, "moved a case", &format!("{id}: {state}")).await?;
        Ok(work.commit().await?)
    }

    /// Another title.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn title_case(&self, id: &str, title: &str) -> Outcome<()> {
        self.set(id, "UPDATE cases SET title = $1 WHERE id = $2", title)
            .await
    }

    /// What was repaired.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn note_work(&self, id: &str, words: &str) -> Outcome<()> {
        self.set(id, "UPDATE cases SET work = $1 WHERE id = $2", words)
            .await
    }

    /// The antenna chain with the results of its search.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn keep_site(&self, id: &str, toml: &str) -> Outcome<()> {
        self.set(id, "UPDATE cases SET site_toml = $1 WHERE id = $2", toml)
            .await
    }

    async fn set(&self, id: &str, sql: &'static str, value: &str) -> Outcome<()> {
        let done = (sqlx::query(sql).bind(value).bind(id))
            .execute(&self.pool)
            .await?;
        if done.rows_affected() == 0 {
            return Err(Fault::Missing);
        }
        Ok(())
    }

    /// Puts a recording of the same repeater into a case, or on another side of its repair.
    ///
    /// # Errors
    /// There is none such at this repeater, or the database fails.
    pub async fn put_into_case(&self, id: &str, recording: &str, phase: &str) -> Outcome<()> {
        let sql = "INSERT INTO case_recordings (case_id, recording, phase, added_at) \
                   SELECT c.id, r.id, $1, $2 FROM cases c JOIN recordings r \
                   ON r.repeater = c.repeater WHERE c.id = $3 AND r.id = $4 \
                   ON CONFLICT (case_id, recording) DO UPDATE SET phase = excluded.phase";
        let done = sqlx::query(sql)
            .bind(phase)
            .bind(now())
            .bind(id)
            .bind(recording)
            .execute(&self.pool)
            .await?;
        if done.rows_affected() == 0 {
            return Err(Fault::Missing);
        }
        Ok(())
    }

    /// Takes a recording out of a case; it stays with its repeater.
    ///
    /// # Errors
    /// The database fails.
    pub async fn take_out_of_case(&self, id: &str, recording: &str) -> Outcome<()> {
        sqlx::query("DELETE FROM case_recordings WHERE case_id = $1 AND recording = $2")
            .bind(id)
            .bind(recording)
            .execute(&self.pool)
            .await?;
        Ok(())
    }

    /// A case's recordings, in the order they were received, each with its side of the repair.
    ///
    /// # Errors
    /// The database fails.
    pub async fn recordings_in(&self, id: &str) -> Outcome<Vec<(Recording, String)>> {
        let columns: Vec<String> = super::recordings::COLUMNS
            .split(',')
            .map(|column| format!("r.{}", column.trim()))
            .collect();
        let sql = format!(
            "SELECT {}, m.phase FROM case_recordings m JOIN recordings r ON r.id = m.recording \
             WHERE m.case_id = $1 ORDER BY r.received_at, r.id",
            columns.join(", ")
        );
        let rows = sqlx::query(sqlx::AssertSqlSafe(sql))
            .bind(id)
            .fetch_all(&self.pool)
            .await?;
        let read = rows
            .iter()
            .map(|row| Ok::<_, sqlx::Error>((Recording::from_row(row)?, row.try_get("phase")?)));
        Ok(read.collect::<Result<_, _>>()?)
    }

    /// Keeps a stepped test or tee readings; gives their key.
    ///
    /// # Errors
    /// There is no such case, or the database fails.
    pub async fn keep_measured(&self, id: &str, measured: &Measured, by: &str) -> Outcome<String> {
        let mut work = self.work().await?;
        let key = add_measured(&mut work, id, measured, by).await?;
        work.commit().await?;
        Ok(key)
    }

    /// What was measured, in order.
    ///
    /// # Errors
    /// The database fails.
    pub async fn measured_in(&self, id: &str) -> Outcome<Vec<Measurement>> {
        let sql = "SELECT id, kind, phase, day, sheet, hysteresis_db, result_json, desense_db, \
                   made_by, made_at FROM measurements WHERE case_id = $1 ORDER BY made_at, id";
        Ok(sqlx::query_as(sql).bind(id).fetch_all(&self.pool).await?)
    }

    /// Deletes a stepped test or tee readings.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn delete_measured(&self, id: &str, key: &str, by: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        let gone = sqlx::query("DELETE FROM measurements WHERE case_id = $1 AND id = $2")
            .bind(id)
            .bind(key)
            .execute(&mut *work)
            .await?;
        if gone.rows_affected() == 0 {
            return Err(Fault::Missing);
        }
        audit::write(&mut work, by, "deleted a test", &format!("{id}: {key}")).await?;
        Ok(work.commit().await?)
    }

    /// Deletes a case; its recordings stay with their repeater.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn delete_case(&self, id: &str, by: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        let sql = "DELETE FROM cases WHERE id = $1 RETURNING title";
        let title: Option<String> = (sqlx::query_scalar(sql).bind(id))
            .fetch_optional(&mut *work)
            .await?;
        let title = title.ok_or(Fault::Missing)?;
        audit::write(&mut work, by, "deleted a case", &title).await?;
        work.commit().await?;
        self.make_deletion_real().await
    }
}

/// Adds a case's row.
pub(super) async fn add(
    work: &mut Work,
    repeater: &str,
    title: &str,
    origin: Option<&str>,
) -> Outcome<String> {
    let id = secrets::word();
    let sql = "INSERT INTO cases (id, repeater, title, state, work, made_at, changed_at, origin) \
               VALUES ($1, $2, $3, 'opened', '', $4, $4, $5)";
    sqlx::query(sql)
        .bind(&id)
        .bind(repeater)
        .bind(title)
        .bind(now())
        .bind(origin)
        .execute(&mut **work)
        .await?;
    Ok(id)
}

/// Adds the row of something measured.
pub(super) async fn add_measured(
    work: &mut Work,
    id: &str,
    measured: &Measured,
    by: &str,
) -> Outcome<String> {
    let key = secrets::word();
    let sql = "INSERT INTO measurements (id, case_id, kind, phase, day, sheet, hysteresis_db, \
               result_json, desense_db, made_by, made_at) \
               VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)";
    sqlx::query(sql)
        .bind(&key)
        .bind(id)
        .bind(measured.kind)
        .bind(&measured.phase)
        .bind(&measured.day)
        .bind(&measured.sheet)
        .bind(measured.hysteresis_db)
        .bind(&measured.result_json)
        .bind(measured.desense_db)
        .bind(by)
        .bind(now())
        .execute(&mut **work)
        .await?;
    Ok(key)
}
