//! The queue of analyses, in the database itself: what is committed cannot be forgotten, and
//! only the holder of a job's last lease can end it.

use super::rows::Job;
use super::{Store, Work};
use crate::check::Share;
use crate::desk::fault::Outcome;
use crate::desk::moment::{SECOND, now};
use serde::{Deserialize, Serialize};

/// So long a lease holds without being renewed.
pub const LEASE: i64 = 20 * SECOND;

/// How an analysis ended.
#[derive(Debug, Clone)]
pub enum Ending {
    /// With a result.
    Done(Box<Result>),
    /// With a complaint: code and words.
    Failed(String, String),
}

/// What an analysis gives.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Result {
    /// The published result.
    pub check_json: String,
    /// The same in words, as JSON.
    pub heard_json: String,
    /// Drawings, as JSON.
    pub pictures_json: String,
    /// Label.
    pub label: String,
    /// Its probability.
    pub probability: Option<f64>,
    /// Hang time.
    pub hang_s: Option<f64>,
    /// Carrier drops.
    pub drops: i64,
    /// Trials.
    pub trials: Option<i64>,
    /// Of them came back.
    pub came_back: Option<i64>,
    /// The first cycles, as JSON.
    pub beats: String,
    /// Length.
    pub duration_s: f64,
}

/// How the queue stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Standing {
    /// Not begun.
    pub waiting: i64,
    /// Being worked on.
    pub leased: i64,
    /// Ended.
    pub done: i64,
}

/// Adds the job of a new recording.
///
/// # Errors
/// The database fails.
pub async fn add(work: &mut Work, recording: &str) -> Outcome<()> {
    let sql = "INSERT INTO jobs (recording, state, lease, due_at, made_at, endings) \
               VALUES ($1, 'waiting', 0, $2, $2, 0)";
    sqlx::query(sql)
        .bind(recording)
        .bind(now())
        .execute(&mut **work)
        .await?;
    Ok(())
}

impl Store {
    /// Leases the job that is due longest.
    ///
    /// # Errors
    /// The database fails.
    pub async fn lease(&self, worker: &str) -> Outcome<Option<Job>> {
        let mut work = self.work().await?;
        let sql = format!(
            "SELECT recording FROM jobs WHERE state IN ('waiting', 'leased') AND due_at <= $1 \
             ORDER BY due_at LIMIT 1{}",
            self.engine.for_update_skip_locked()
        );
        let due: Option<String> = sqlx::query_scalar(sqlx::AssertSqlSafe(sql))
            .bind(now())
            .fetch_optional(&mut *work)
            .await?;
        let Some(recording) = due else {
            return Ok(None);
        };
        let sql = "UPDATE jobs SET state = 'leased', lease = lease + 1, leased_by = $1, \
                   due_at = $2, share = NULL WHERE recording = $3 RETURNING recording, lease";
        let job = sqlx::query_as(sql)
            .bind(worker)
            .bind(now() + LEASE)
            .bind(recording)
            .fetch_one(&mut *work)
            .await?;
        work.commit().await?;
        Ok(Some(job))
    }

    /// Renews a lease and says how far the work is; `false` where it is not this worker's any more.
    ///
    /// # Errors
    /// The database fails.
    pub async fn renew(&self, job: &Job, share: Option<Share>) -> Outcome<bool> {
        let sql = "UPDATE jobs SET due_at = $1, share = $2, share_estimated = $3 \
                   WHERE recording = $4 AND lease = $5 AND state = 'leased'";
        let done = sqlx::query(sql)
            .bind(now() + LEASE)
            .bind(share.map(|share| share.done))
            .bind(i64::from(share.is_some_and(|share| share.estimated)))
            .bind(&job.recording)
            .bind(job.lease)
            .execute(&self.pool)
            .await?;
        Ok(done.rows_affected() == 1)
    }

    /// Gives a job back, to be done after so long: at once by a worker that is asked to stop,
    /// later by one that failed, so that the others' jobs come first.
    ///
    /// # Errors
    /// The database fails.
    pub async fn give_back(&self, job: &Job, after: i64) -> Outcome<()> {
        let sql = "UPDATE jobs SET state = 'waiting', due_at = $1, share = NULL \
                   WHERE recording = $2 AND lease = $3 AND state = 'leased'";
        sqlx::query(sql)
            .bind(now() + after)
            .bind(&job.recording)
            .bind(job.lease)
            .execute(&self.pool)
            .await?;
        Ok(())
    }

    /// Gives back what a worker of this name held before it crashed.
    ///
    /// # Errors
    /// The database fails.
    pub async fn give_back_all(&self, worker: &str) -> Outcome<u64> {
        let sql = "UPDATE jobs SET state = 'waiting', due_at = $1, share = NULL \
                   WHERE leased_by = $2 AND state = 'leased'";
        let done = sqlx::query(sql)
            .bind(now())
            .bind(worker)
            .execute(&self.pool)
            .await?;
        Ok(done.rows_affected())
    }

    /// Writes how a job ended, once; `false` where the lease is not this worker's any more, and
    /// nothing is written.
    ///
    /// # Errors
    /// The database fails.
    pub async fn end(&self, job: &Job, ending: &Ending) -> Outcome<bool> {
        let mut work = self.work().await?;
        let sql = "UPDATE jobs SET state = 'done', ended_at = $1, endings = endings + 1 \
                   WHERE recording = $2 AND lease = $3 AND state = 'leased'";
        let done = sqlx::query(sql)
            .bind(now())
            .bind(&job.recording)
            .bind(job.lease)
            .execute(&mut *work)
            .await?;
        if done.rows_affected() != 1 {
            return Ok(false);
        }
        match ending {
            Ending::Done(result) => write_result(&mut work, &job.recording, result).await?,
            Ending::Failed(code, words) => {
                let sql = "UPDATE recordings SET state = 'failed', fault_code = $1, fault = $2 \
                           WHERE id = $3";
                sqlx::query(sql)
                    .bind(code)
                    .bind(words)
                    .bind(&job.recording)
                    .execute(&mut *work)
                    .await?;
            }
        }
        work.commit().await?;
        Ok(true)
    }

    /// Puts a recording into the queue once more; its result goes.
    ///
    /// # Errors
    /// The database fails.
    pub async fn again(&self, recording: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        self.hold(&mut work, recording).await?;
        // The lease's number goes on: whoever still works at the old one does not end the new one.
        let sql = "UPDATE jobs SET state = 'waiting', leased_by = NULL, share = NULL, due_at = $1, \
                   made_at = $1, ended_at = NULL, endings = 0 WHERE recording = $2";
        sqlx::query(sql)
            .bind(now())
            .bind(recording)
            .execute(&mut *work)
            .await?;
        for sql in [
            "DELETE FROM results WHERE recording = $1",
            "UPDATE recordings SET state = 'waiting', label = NULL, fault = NULL, \
             fault_code = NULL WHERE id = $1",
        ] {
            sqlx::query(sql).bind(recording).execute(&mut *work).await?;
        }
        Ok(work.commit().await?)
    }

    /// Keeps a recording's job from its worker until the commit. Whoever changes a recording and its
    /// job takes the job first, as the worker does at the end of its work: the other way round the
    /// two could wait for each other, and one of them would be refused.
    ///
    /// # Errors
    /// The database fails.
    pub(super) async fn hold(&self, work: &mut Work, recording: &str) -> Outcome<()> {
        let sql = format!(
            "SELECT recording FROM jobs WHERE recording = $1{}",
            self.engine.for_update()
        );
        sqlx::query(sqlx::AssertSqlSafe(sql))
            .bind(recording)
            .fetch_optional(&mut **work)
            .await?;
        Ok(())
    }

    /// The state of a recording's job, how many wait before it, and how far the work is.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn place_in_queue(&self, recording: &str) -> Outcome<(String, i64, Option<Share>)> {
        let sql = "SELECT j.state, (SELECT COUNT(*) FROM jobs e WHERE e.state = 'waiting' \
                   AND e.due_at < j.due_at), j.share, j.share_estimated \
                   FROM jobs j WHERE j.recording = $1";
        let found: Option<(String, i64, Option<f64>, i64)> = sqlx::query_as(sql)
            .bind(recording)
            .fetch_optional(&self.pool)
            .await?;
        let (state, ahead, share, estimated) = found.ok_or(crate::desk::fault::Fault::Missing)?;
        let share = share.map(|done| Share {
            done,
            estimated: estimated != 0,
        });
        Ok((state, ahead, share))
    }

    /// How the queue stands.
    ///
    /// # Errors
    /// The database fails.
    pub async fn standing(&self) -> Outcome<Standing> {
        let rows: Vec<(String, i64)> =
            sqlx::query_as("SELECT state, COUNT(*) FROM jobs GROUP BY state")
                .fetch_all(&self.pool)
                .await?;
        let of = |state: &str| {
            rows.iter()
                .find(|(name, _)| name == state)
                .map_or(0, |(_, count)| *count)
        };
        Ok(Standing {
            waiting: of("waiting"),
            leased: of("leased"),
            done: of("done"),
        })
    }
}

async fn write_result(work: &mut Work, recording: &str, result: &Result) -> Outcome<()> {
    let sql = "INSERT INTO results (recording, check_json, heard_json, pictures_json, made_at) \
               VALUES ($1, $2, $3, $4, $5)";
    sqlx::query(sql)
        .bind(recording)
        .bind(&result.check_json)
        .bind(&result.heard_json)
        .bind(&result.pictures_json)
        .bind(now())
        .execute(&mut **work)
        .await?;
    let sql = "UPDATE recordings SET state = 'done', label = $1, probability = $2, hang_s = $3, \
               drops = $4, trials = $5, came_back = $6, beats = $7, duration_s = $8 WHERE id = $9";
    sqlx::query(sql)
        .bind(&result.label)
        .bind(result.probability)
        .bind(result.hang_s)
        .bind(result.drops)
        .bind(result.trials)
        .bind(result.came_back)
        .bind(&result.beats)
        .bind(result.duration_s)
        .bind(recording)
        .execute(&mut **work)
        .await?;
    Ok(())
}
