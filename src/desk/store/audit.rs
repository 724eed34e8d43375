//! Who did what when. A line is written in the same piece of work as the deed.

use super::rows::AuditLine;
use super::{Slice, Store, Work, containing};
use crate::desk::fault::Outcome;
use crate::desk::{moment, secrets};

/// Writes a line.
///
/// # Errors
/// The database fails.
pub async fn write(work: &mut Work, who: &str, kind: &str, about: &str) -> Outcome<()> {
    sqlx::query("INSERT INTO audit (id, made_at, who, kind, about) VALUES ($1, $2, $3, $4, $5)")
        .bind(secrets::word())
        .bind(moment::now())
        .bind(who)
        .bind(kind)
        .bind(about)
        .execute(&mut **work)
        .await?;
    Ok(())
}

impl Store {
    /// Writes a line about what touches nothing else, such as an export.
    ///
    /// # Errors
    /// The database fails.
    pub async fn note_deed(&self, who: &str, kind: &str, about: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        write(&mut work, who, kind, about).await?;
        Ok(work.commit().await?)
    }

    /// Lines of a kind and with words in them (empty: all), the newest first.
    ///
    /// # Errors
    /// The database fails.
    pub async fn audit(&self, kind: &str, words: &str, page: Slice) -> Outcome<Vec<AuditLine>> {
        // A line begins with the key of what it is about, where it is a recording or a case: names
        // that members gave are not kept in it, so that a deletion takes them away here as well.
        const { assert!(secrets::LENGTH == 26) };
        let sql = "SELECT a.made_at, a.who, a.kind, a.about, r.file_name, c.title FROM audit a \
                   LEFT JOIN recordings r ON r.id = SUBSTR(a.about, 1, 26) \
                   LEFT JOIN cases c ON c.id = SUBSTR(a.about, 1, 26) \
                   WHERE ($1 = '' OR a.kind = $1) AND LOWER(a.who || ' ' || a.about) LIKE $2 \
                   ORDER BY a.made_at DESC, a.id LIMIT $3 OFFSET $4";
        Ok(sqlx::query_as(sql)
            .bind(kind)
            .bind(containing(words))
            .bind(page.most)
            .bind(page.skip)
            .fetch_all(&self.pool)
            .await?)
    }

    /// How many lines [`Self::audit`] has in all.
    ///
    /// # Errors
    /// The database fails.
    pub async fn audit_count(&self, kind: &str, words: &str) -> Outcome<i64> {
        let sql = "SELECT COUNT(*) FROM audit \
                   WHERE ($1 = '' OR kind = $1) AND LOWER(who || ' ' || about) LIKE $2";
        let query = sqlx::query_scalar(sql).bind(kind).bind(containing(words));
        Ok(query.fetch_one(&self.pool).await?)
    }

    /// The kinds that there are.
    ///
    /// # Errors
    /// The database fails.
    pub async fn audit_kinds(&self) -> Outcome<Vec<String>> {
        let sql = "SELECT DISTINCT kind FROM audit ORDER BY kind";
        Ok(sqlx::query_scalar(sql).fetch_all(&self.pool).await?)
    }
}
