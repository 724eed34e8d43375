//! Recordings: received once, listed, corrected, deleted.

use super::rows::{Kept, Recording};
use super::{Slice, Store, Work, audit, containing};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::moment::{HOUR, now};
use crate::desk::secrets;

pub(super) const COLUMNS: &str = "id, repeater, sha256, file_name, bytes, received_at, seen_at, place, radio, \
    squelch, noticed, sender, state, fault_code, fault, label, probability, hang_s, drops, trials, \
    came_back, beats, duration_s, corrected, corrected_by, corrected_at, correction_note";

/// What the sender says about a recording.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Told {
    /// Where they listened.
    pub place: String,
    /// On what.
    pub radio: String,
    /// `open`, `closed` or `unknown`.
    pub squelch: String,
    /// What they noticed.
    pub noticed: String,
    /// Who they are.
    pub sender: String,
}

/// An original that lies in the store of originals, about to be acknowledged.
#[derive(Debug, Clone)]
pub struct Arrived {
    /// Key of the repeater.
    pub repeater: String,
    /// The object.
    pub place: String,
    /// Digest of it.
    pub sha256: String,
    /// Its length.
    pub bytes: i64,
    /// Name that the sender's machine gave it.
    pub file_name: String,
    /// The word that opens the receipt.
    pub receipt: String,
    /// What the sender says.
    pub told: Told,
}

/// A recording that is committed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Received {
    /// Key of it.
    pub id: String,
    /// The object is not needed: its content was here already.
    pub spare: bool,
}

/// Which recordings a list shall hold.
#[derive(Debug, Clone, Default)]
pub struct Filter {
    /// Of this repeater; empty for all.
    pub repeater: String,
    /// Label, corrected or of the verdict; `waiting` and `failed` for those without; empty for all.
    pub label: String,
    /// Received at or after.
    pub from: Option<i64>,
    /// Received before.
    pub until: Option<i64>,
    /// Words in what the sender says or in the file's name; empty for all.
    pub words: String,
    /// Only those that no keeper has opened.
    pub unseen: bool,
}

/// What [`Filter`] lets through, in SQL.
const FILTERED: &str = "FROM recordings WHERE ($1 = '' OR repeater = $1) \
    AND ($2 = '' OR COALESCE(corrected, label, state) = $2) \
    AND received_at >= $3 AND received_at < $4 \
    AND LOWER(noticed || ' ' || sender || ' ' || place || ' ' || radio || ' ' || file_name) LIKE $5 \
    AND ($6 = 0 OR seen_at IS NULL)";

impl Store {
    /// Commits a recording with its job. `upload` is the upload in parts that it came by; one
    /// that has become a recording before gives that one again.
    ///
    /// # Errors
    /// The database fails; nothing has been changed then.
    pub async fn receive(&self, arrived: &Arrived, upload: Option<&str>) -> Outcome<Received> {
        let mut work = self.work().await?;
        if let Some(token) = upload {
            let sql = format!(
                "SELECT recording FROM uploads WHERE token = $1{}",
                self.engine.for_update()
            );
            let before: Option<Option<String>> = sqlx::query_scalar(sqlx::AssertSqlSafe(sql))
                .bind(token)
                .fetch_optional(&mut *work)
                .await?;
            if let Some(id) = before.ok_or(Fault::Missing)? {
                return Ok(Received { id, spare: true });
            }
        }
        let received = add(&mut work, arrived).await?;
        if let Some(token) = upload {
            sqlx::query("UPDATE uploads SET recording = $1 WHERE token = $2")
                .bind(&received.id)
                .bind(token)
                .execute(&mut *work)
                .await?;
        }
        work.commit().await?;
        Ok(received)
    }

    /// How many a repeater has received within the last hour.
    ///
    /// # Errors
    /// The database fails.
    pub async fn received_within_the_hour(&self, repeater: &str) -> Outcome<i64> {
        let sql = "SELECT COUNT(*) FROM recordings WHERE repeater = $1 AND received_at > $2";
        let query = sqlx::query_scalar(sql).bind(repeater).bind(now() - HOUR);
        Ok(query.fetch_one(&self.pool).await?)
    }

    /// One.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn recording(&self, id: &str) -> Outcome<Recording> {
        self.recording_where("id", id).await
    }

    /// The one that a receipt's word opens.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn recording_by_receipt(&self, receipt: &str) -> Outcome<Recording> {
        self.recording_where("receipt", &secrets::kept(receipt))
            .await
    }

    async fn recording_where(&self, column: &str, value: &str) -> Outcome<Recording> {
        let sql = format!("SELECT {COLUMNS} FROM recordings WHERE {column} = $1");
        let query = sqlx::query_as(sqlx::AssertSqlSafe(sql)).bind(value);
        let found = query.fetch_optional(&self.pool).await?;
        found.ok_or(Fault::Missing)
    }

    /// Recordings, the newest first.
    ///
    /// # Errors
    /// The database fails.
    pub async fn recordings(&self, filter: &Filter, page: Slice) -> Outcome<Vec<Recording>> {
        let sql =
            format!("SELECT {COLUMNS} {FILTERED} ORDER BY received_at DESC, id LIMIT $7 OFFSET $8");
        let query = sqlx::query_as(sqlx::AssertSqlSafe(sql));
        Ok(query
            .bind(&filter.repeater)
            .bind(&filter.label)
            .bind(filter.from.unwrap_or(0))
            .bind(filter.until.unwrap_or(i64::MAX))
            .bind(containing(&filter.words))
            .bind(i64::from(filter.unseen))
            .bind(page.most)
            .bind(page.skip)
            .fetch_all(&self.pool)
            .await?)
    }

    /// How many [`Self::recordings`] has in all.
    ///
    /// # Errors
    /// The database fails.
    pub async fn recordings_count(&self, filter: &Filter) -> Outcome<i64> {
        let sql = format!("SELECT COUNT(*) {FILTERED}");
        let query = sqlx::query_scalar(sqlx::AssertSqlSafe(sql));
        Ok(query
            .bind(&filter.repeater)
            .bind(&filter.label)
            .bind(filter.from.unwrap_or(0))
            .bind(filter.until.unwrap_or(i64::MAX))
            .bind(containing(&filter.words))
            .bind(i64::from(filter.unseen))
            .fetch_one(&self.pool)
            .await?)
    }

    /// A keeper has opened it.
    ///
    /// # Errors
    /// The database fails.
    pub async fn seen(&self, id: &str) -> Outcome<()> {
        sqlx::query("UPDATE recordings SET seen_at = $1 WHERE id = $2 AND seen_at IS NULL")
            .bind(now())
            .bind(id)
            .execute(&self.pool)
            .await?;
        Ok(())
    }

    /// A recording's result: check, words and drawings, each as JSON.
    ///
    /// # Errors
    /// The database fails.
    pub async fn result_of(&self, id: &str) -> Outcome<Option<Kept>> {
        let sql = "SELECT check_json, heard_json, pictures_json FROM results WHERE recording = $1";
        let query = sqlx::query_as(sql).bind(id);
        Ok(query.fetch_optional(&self.pool).await?)
    }

    /// The object that holds a recording's original.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn place_of(&self, sha256: &str) -> Outcome<String> {
        let sql = "SELECT place FROM originals WHERE sha256 = $1";
        let query = sqlx::query_scalar(sql).bind(sha256);
        let found: Option<String> = query.fetch_optional(&self.pool).await?;
        found.ok_or(Fault::Missing)
    }

    /// Puts the keeper's label beside the verdict's, or takes it away again.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn correct(
        &self,
        id: &str,
        label: Option<&str>,
        words: &str,
        by: &str,
    ) -> Outcome<()> {
        let mut work = self.work().await?;
        let sql = "UPDATE recordings SET corrected = $1, corrected_by = $2, corrected_at = $3, \
                   correction_note = $4 WHERE id = $5";
        let done = sqlx::query(sql)
            .bind(label)
            .bind(label.map(|_| by))
            .bind(label.map(|_| now()))
            .bind(label.map(|_| words))
            .bind(id)
            .execute(&mut *work)
            .await?;
        if done.rows_affected() == 0 {
            return Err(Fault::Missing);
        }
        let about = format!("{id}: {}", label.unwrap_or("as the program says"));
        audit::write(&mut work, by, "corrected a verdict", &about).await?;
        Ok(work.commit().await?)
    }

    /// Deletes a recording with everything that was made of it. Where no other has the same
    /// content, its original is put down for removal.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn delete_recording(&self, id: &str, by: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        let sql = format!(
            "SELECT o.sha256, o.place FROM originals o JOIN recordings r ON r.sha256 = o.sha256 \
             WHERE r.id = $1{}",
            self.engine.for_update()
        );
        let found: Option<(String, String)> = sqlx::query_as(sqlx::AssertSqlSafe(sql))
            .bind(id)
            .fetch_optional(&mut *work)
            .await?;
        let (sha256, place) = found.ok_or(Fault::Missing)?;
        sqlx::query("DELETE FROM recordings WHERE id = $1")
            .bind(id)
            .execute(&mut *work)
            .await?;
        let others: i64 = sqlx::query_scalar("SELECT COUNT(*) FROM recordings WHERE sha256 = $1")
            .bind(&sha256)
            .fetch_one(&mut *work)
            .await?;
        if others == 0 {
            sqlx::query("DELETE FROM originals WHERE sha256 = $1")
                .bind(&sha256)
                .execute(&mut *work)
                .await?;
            sqlx::query("INSERT INTO removals (place, made_at) VALUES ($1, $2)")
                .bind(&place)
                .bind(now())
                .execute(&mut *work)
                .await?;
        }
        audit::write(&mut work, by, "deleted a recording", id).await?;
        work.commit().await?;
        self.make_deletion_real().await
    }

    /// Objects that are to be removed.
    ///
    /// # Errors
    /// The database fails.
    pub async fn removals(&self) -> Outcome<Vec<String>> {
        let sql = "SELECT place FROM removals ORDER BY made_at";
        Ok(sqlx::query_scalar(sql).fetch_all(&self.pool).await?)
    }

    /// An object is gone.
    ///
    /// # Errors
    /// The database fails.
    pub async fn removed(&self, place: &str) -> Outcome<()> {
        sqlx::query("DELETE FROM removals WHERE place = $1")
            .bind(place)
            .execute(&self.pool)
            .await?;
        Ok(())
    }

    /// Whether any original is kept in this object.
    ///
    /// # Errors
    /// The database fails.
    pub async fn is_needed(&self, place: &str) -> Outcome<bool> {
        let sql = "SELECT COUNT(*) FROM originals WHERE place = $1";
        let count: i64 = (sqlx::query_scalar(sql).bind(place))
            .fetch_one(&self.pool)
            .await?;
        Ok(count > 0)
    }
}

/// Adds a recording with its job.
pub(super) async fn add(work: &mut Work, arrived: &Arrived) -> Outcome<Received> {
    // The update changes nothing but keeps the row from a deletion at the same moment.
    let sql = "INSERT INTO originals (sha256, place, bytes, made_at) VALUES ($1, $2, $3, $4) \
               ON CONFLICT (sha256) DO UPDATE SET bytes = originals.bytes RETURNING place";
    let place: String = sqlx::query_scalar(sql)
        .bind(&arrived.sha256)
        .bind(&arrived.place)
        .bind(arrived.bytes)
        .bind(now())
        .fetch_one(&mut **work)
        .await?;
    let id = secrets::word();
    let sql = "INSERT INTO recordings (id, repeater, sha256, receipt, file_name, bytes, \
               received_at, place, radio, squelch, noticed, sender, state) \
               VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, 'waiting')";
    sqlx::query(sql)
        .bind(&id)
        .bind(&arrived.repeater)
        .bind(&arrived.sha256)
        .bind(secrets::kept(&arrived.receipt))
        .bind(&arrived.file_name)
        .bind(arrived.bytes)
        .bind(now())
        .bind(&arrived.told.place)
        .bind(&arrived.told.radio)
        .bind(&arrived.told.squelch)
        .bind(&arrived.told.noticed)
        .bind(&arrived.told.sender)
        .execute(&mut **work)
        .await?;
    super::jobs::add(work, &id).await?;
    Ok(Received {
        id,
        spare: place != arrived.place,
    })
}
