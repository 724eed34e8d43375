//! Who is at the door: browsers' sessions, and programs' bearer tokens.

use super::rows::{Bearer, Fresh, Visitor};
use super::{Store, audit};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::moment::{DAY, HOUR, now};
use crate::desk::secrets;

/// A session ends so long after it was last used.
pub const SESSION_IDLE: i64 = 14 * DAY;
/// And so long after it began.
const SESSION_WHOLE: i64 = 60 * DAY;

impl Store {
    /// Begins a session; the word goes into the browser's cookie.
    ///
    /// # Errors
    /// The database fails.
    pub async fn begin_session(&self, keeper: &str, name: &str) -> Outcome<String> {
        let token = secrets::word();
        let mut work = self.work().await?;
        sqlx::query("DELETE FROM sessions WHERE seen_at < $1 OR made_at < $2")
            .bind(now() - SESSION_IDLE)
            .bind(now() - SESSION_WHOLE)
            .execute(&mut *work)
            .await?;
        let sql = "INSERT INTO sessions (token, keeper, csrf, made_at, seen_at) \
                   VALUES ($1, $2, $3, $4, $4)";
        sqlx::query(sql)
            .bind(secrets::kept(&token))
            .bind(keeper)
            .bind(secrets::word())
            .bind(now())
            .execute(&mut *work)
            .await?;
        audit::write(&mut work, name, "signed in", "").await?;
        work.commit().await?;
        Ok(token)
    }

    /// Whose session it is.
    ///
    /// # Errors
    /// The database fails.
    pub async fn visitor(&self, token: &str) -> Outcome<Option<Visitor>> {
        let kept = secrets::kept(token);
        let sql = "SELECT s.keeper, k.name, k.role, s.csrf, CAST(NULL AS BIGINT) AS ends_at \
                   FROM sessions s \
                   JOIN keepers k ON k.id = s.keeper \
                   WHERE s.token = $1 AND s.seen_at > $2 AND s.made_at > $3 \
                   AND k.closed_at IS NULL";
        let visitor = sqlx::query_as(sql)
            .bind(&kept)
            .bind(now() - SESSION_IDLE)
            .bind(now() - SESSION_WHOLE)
            .fetch_optional(&self.pool)
            .await?;
        if visitor.is_some() {
            // To the hour: not every look at a page has to write.
            sqlx::query("UPDATE sessions SET seen_at = $1 WHERE token = $2 AND seen_at < $3")
                .bind(now())
                .bind(&kept)
                .bind(now() - HOUR)
                .execute(&self.pool)
                .await?;
        }
        Ok(visitor)
    }

    /// Ends a session.
    ///
    /// # Errors
    /// The database fails.
    pub async fn end_session(&self, token: &str, name: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        sqlx::query("DELETE FROM sessions WHERE token = $1")
            .bind(secrets::kept(token))
            .execute(&mut *work)
            .await?;
        audit::write(&mut work, name, "signed out", "").await?;
        Ok(work.commit().await?)
    }

    /// How many sessions a keeper has beside this one.
    ///
    /// # Errors
    /// The database fails.
    pub async fn other_sessions(&self, keeper: &str, token: &str) -> Outcome<i64> {
        let sql = "SELECT COUNT(*) FROM sessions WHERE keeper = $1 AND token <> $2";
        let query = sqlx::query_scalar(sql)
            .bind(keeper)
            .bind(secrets::kept(token));
        Ok(query.fetch_one(&self.pool).await?)
    }

    /// Ends a keeper's sessions but this one.
    ///
    /// # Errors
    /// The database fails.
    pub async fn end_other_sessions(&self, of: &Visitor, token: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        sqlx::query("DELETE FROM sessions WHERE keeper = $1 AND token <> $2")
            .bind(&of.keeper)
            .bind(secrets::kept(token))
            .execute(&mut *work)
            .await?;
        audit::write(&mut work, &of.name, "signed out elsewhere", "").await?;
        Ok(work.commit().await?)
    }

    /// When each keeper was last seen.
    ///
    /// # Errors
    /// The database fails.
    pub async fn last_seen(&self) -> Outcome<Vec<(String, i64)>> {
        let sql = "SELECT keeper, MAX(seen_at) FROM sessions GROUP BY keeper";
        Ok(sqlx::query_as(sql).fetch_all(&self.pool).await?)
    }

    /// A new bearer token; it is shown once. One that was made by means of another does not outlive
    /// it: whoever got hold of a token for a week has it for a week.
    ///
    /// # Errors
    /// The database fails.
    pub async fn new_bearer(
        &self,
        of: &Visitor,
        purpose: &str,
        days: Option<i64>,
    ) -> Outcome<Fresh> {
        let fresh = Fresh {
            id: secrets::word(),
            word: secrets::word(),
        };
        let asked = days.map(|days| now() + days * DAY);
        let ends_at = [asked, of.ends_at].into_iter().flatten().min();
        let mut work = self.work().await?;
        let sql = "INSERT INTO bearers (id, token, keeper, purpose, made_at, ends_at) \
                   VALUES ($1, $2, $3, $4, $5, $6)";
        sqlx::query(sql)
            .bind(&fresh.id)
            .bind(secrets::kept(&fresh.word))
            .bind(&of.keeper)
            .bind(purpose)
            .bind(now())
            .bind(ends_at)
            .execute(&mut *work)
            .await?;
        audit::write(&mut work, &of.name, "made a token", purpose).await?;
        work.commit().await?;
        Ok(fresh)
    }

    /// Whose bearer token it is.
    ///
    /// # Errors
    /// The database fails.
    pub async fn bearer(&self, token: &str) -> Outcome<Option<Visitor>> {
        let kept = secrets::kept(token);
        let sql = "SELECT b.keeper, k.name, k.role, '' AS csrf, b.ends_at FROM bearers b \
                   JOIN keepers k ON k.id = b.keeper \
                   WHERE b.token = $1 AND k.closed_at IS NULL \
                   AND (b.ends_at IS NULL OR b.ends_at > $2)";
        let visitor = (sqlx::query_as(sql).bind(&kept).bind(now()))
            .fetch_optional(&self.pool)
            .await?;
        if visitor.is_some() {
            let sql = "UPDATE bearers SET used_at = $1 \
                       WHERE token = $2 AND (used_at IS NULL OR used_at < $3)";
            sqlx::query(sql)
                .bind(now())
                .bind(&kept)
                .bind(now() - HOUR)
                .execute(&self.pool)
                .await?;
        }
        Ok(visitor)
    }

    /// A keeper's bearer tokens.
    ///
    /// # Errors
    /// The database fails.
    pub async fn bearers(&self, keeper: &str) -> Outcome<Vec<Bearer>> {
        let sql = "SELECT id, purpose, made_at, ends_at, used_at FROM bearers \
                   WHERE keeper = $1 ORDER BY made_at, id";
        Ok(sqlx::query_as(sql)
            .bind(keeper)
            .fetch_all(&self.pool)
            .await?)
    }

    /// Takes a bearer token back.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn end_bearer(&self, of: &Visitor, id: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        let sql = "DELETE FROM bearers WHERE id = $1 AND keeper = $2 RETURNING purpose";
        let purpose: Option<String> = sqlx::query_scalar(sql)
            .bind(id)
            .bind(&of.keeper)
            .fetch_optional(&mut *work)
            .await?;
        let purpose = purpose.ok_or(Fault::Missing)?;
        audit::write(&mut work, &of.name, "took a token back", &purpose).await?;
        Ok(work.commit().await?)
    }
}
