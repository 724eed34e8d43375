//! Recordings: received once, listed, corrected, deleted.

use super::rows::{Kept, Recording};
use super::{Slice, Store, Work, audit, containing, removals};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::moment::{HOUR, now};
use crate::desk::secrets;
use std::ops::RangeInclusive;

/// Hang times that a controller can have: a blink to a time-out timer's ten minutes.
pub const HANG_S: RangeInclusive<f64> = 0.01..=600.0;

pub(super) const COLUMNS: &str = "id, repeater, sha256, file_name, bytes, received_at, seen_at, place, radio, \
    squelch, noticed, sender, state, fault_code, fault, label, probability, hang_s, drops, trials, \
    came_back, beats, duration_s, corrected, corrected_by, corrected_at, correction_note, \
    corrected_hang_s, corrected_mode";

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
    /// The object is not needed, its content was here already: it is put down for removal.
    pub spare: bool,
}

/// What a keeper says that a recording really is.
#[derive(Debug, Clone, PartialEq)]
pub struct Correction {
    /// Label in the place of the verdict's.
    pub label: &'static str,
    /// In what words.
    pub why: String,
    /// The repeater's hang time, where they know it.
    pub hang_s: Option<f64>,
    /// Listening mode, where they know it.
    pub mode: Option<&'static str>,
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
                removals::put_down(&mut work, &arrived.place).await?;
                work.commit().await?;
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
    pub async fn correct(&self, id: &str, said: Option<&Correction>, by: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        if !set_correction(&mut work, id, said, by).await? {
            return Err(Fault::Missing);
        }
        let label = said.map_or("as the program says", |said| said.label);
        let about = format!("{id}: {label}");
        audit::write(&mut work, by, "corrected a verdict", &about).await?;
        Ok(work.commit().await?)
    }

    /// Deletes a recording with everything that was made of it. Where no other has the same
    /// content, its original is put down for removal; gives that object.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn delete_recording(&self, id: &str, by: &str) -> Outcome<Option<String>> {
        let mut work = self.work().await?;
        self.hold(&mut work, id).await?;
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
            removals::put_down(&mut work, &place).await?;
        }
        audit::write(&mut work, by, "deleted a recording", id).await?;
        work.commit().await?;
        self.make_deletion_real().await?;
        Ok((others == 0).then_some(place))
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

/// Writes a correction into a recording's row, or takes it away; `false` where there is no such row.
pub(super) async fn set_correction(
    work: &mut Work,
    id: &str,
    said: Option<&Correction>,
    by: &str,
) -> Outcome<bool> {
    let sql = "UPDATE recordings SET corrected = $1, corrected_by = $2, corrected_at = $3, \
               correction_note = $4, corrected_hang_s = $5, corrected_mode = $6 WHERE id = $7";
    let done = sqlx::query(sql)
        .bind(said.map(|said| said.label))
        .bind(said.map(|_| by))
        .bind(said.map(|_| now()))
        .bind(said.map(|said| said.why.as_str()))
        .bind(said.and_then(|said| said.hang_s))
        .bind(said.and_then(|said| said.mode))
        .bind(id)
        .execute(&mut **work)
        .await?;
    Ok(done.rows_affected() == 1)
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
    let spare = place != arrived.place;
    if spare {
        removals::put_down(work, &arrived.place).await?;
    }
    Ok(Received { id, spare })
}
