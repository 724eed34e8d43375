//! What the first page and the trends count.

use super::Store;
use super::rows::{Counted, Month};
use crate::desk::fault::Outcome;

impl Store {
    /// Recordings by repeater.
    ///
    /// # Errors
    /// The database fails.
    pub async fn counted(&self) -> Outcome<Vec<Counted>> {
        let sql = "SELECT repeater, COUNT(*) AS recordings, \
                   CAST(SUM(CASE WHEN seen_at IS NULL THEN 1 ELSE 0 END) AS BIGINT) AS unseen, \
                   CAST(SUM(CASE WHEN COALESCE(corrected, label) = 'self_desense' \
                   THEN 1 ELSE 0 END) AS BIGINT) AS desense, MAX(received_at) AS latest \
                   FROM recordings GROUP BY repeater";
        Ok(sqlx::query_as(sql).fetch_all(&self.pool).await?)
    }

    /// What the trend is made of: a repeater's recordings in order of time.
    ///
    /// # Errors
    /// The database fails.
    pub async fn trend_recordings(&self, repeater: &str) -> Outcome<Vec<Month>> {
        let sql = "SELECT received_at AS made_at, duration_s, trials, came_back \
                   FROM recordings WHERE repeater = $1 AND state = 'done' ORDER BY received_at";
        let query = sqlx::query_as(sql).bind(repeater);
        Ok(query.fetch_all(&self.pool).await?)
    }

    /// And what was measured at it: the day as typed, when it was kept, the desense.
    ///
    /// # Errors
    /// The database fails.
    pub async fn trend_measured(&self, repeater: &str) -> Outcome<Vec<(String, i64, f64)>> {
        let sql = "SELECT m.day, m.made_at, m.desense_db FROM measurements m \
                   JOIN cases c ON c.id = m.case_id \
                   WHERE c.repeater = $1 AND m.desense_db IS NOT NULL ORDER BY m.made_at";
        let query = sqlx::query_as(sql).bind(repeater);
        Ok(query.fetch_all(&self.pool).await?)
    }

    /// Recordings of a repeater that a keeper corrected.
    ///
    /// # Errors
    /// The database fails.
    pub async fn corrected_count(&self, repeater: &str) -> Outcome<i64> {
        let sql = "SELECT COUNT(*) FROM recordings WHERE repeater = $1 AND corrected IS NOT NULL";
        let query = sqlx::query_scalar(sql).bind(repeater);
        Ok(query.fetch_one(&self.pool).await?)
    }
}
