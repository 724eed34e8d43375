//! Uploads in parts.

use super::Store;
use super::rows::Upload;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::moment::{DAY, now};
use crate::desk::secrets;

/// An upload that is not finished by then is forgotten.
pub const KEPT: i64 = 2 * DAY;

impl Store {
    /// Begins one; the word names it to its sender. No more than `most` are open at a repeater.
    ///
    /// # Errors
    /// Too many are open, or the database fails.
    pub async fn begin_upload(
        &self,
        repeater: &str,
        name: &str,
        length: i64,
        most: i64,
    ) -> Outcome<String> {
        let token = secrets::word();
        let mut work = self.work().await?;
        let sql = "SELECT COUNT(*) FROM uploads \
                   WHERE repeater = $1 AND recording IS NULL AND made_at > $2";
        let open: i64 = sqlx::query_scalar(sql)
            .bind(repeater)
            .bind(now() - KEPT)
            .fetch_one(&mut *work)
            .await?;
        if open >= most {
            return Err(Fault::TooMany(600));
        }
        let sql = "INSERT INTO uploads (token, repeater, file, name, length, made_at) \
                   VALUES ($1, $2, $3, $4, $5, $6)";
        sqlx::query(sql)
            .bind(secrets::kept(&token))
            .bind(repeater)
            .bind(secrets::word())
            .bind(name)
            .bind(length)
            .bind(now())
            .execute(&mut *work)
            .await?;
        work.commit().await?;
        Ok(token)
    }

    /// One, of this repeater.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn upload(&self, repeater: &str, token: &str) -> Outcome<Upload> {
        let sql = "SELECT repeater, file, name, length, recording FROM uploads \
                   WHERE token = $1 AND repeater = $2";
        let found = sqlx::query_as(sql)
            .bind(secrets::kept(token))
            .bind(repeater)
            .fetch_optional(&self.pool)
            .await?;
        found.ok_or(Fault::Missing)
    }

    /// Forgets the old ones; gives the files of those that still wait for the rest.
    ///
    /// # Errors
    /// The database fails.
    pub async fn forget_uploads(&self) -> Outcome<Vec<String>> {
        sqlx::query("DELETE FROM uploads WHERE made_at < $1")
            .bind(now() - KEPT)
            .execute(&self.pool)
            .await?;
        let sql = "SELECT file FROM uploads WHERE recording IS NULL";
        Ok(sqlx::query_scalar(sql).fetch_all(&self.pool).await?)
    }
}
