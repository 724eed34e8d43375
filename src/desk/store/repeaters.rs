//! Repeaters and their send-in links.

use super::rows::Repeater;
use super::{Store, Work, audit};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::{moment, secrets};

const COLUMNS: &str =
    "id, name, output_mhz, place, hang_s, hysteresis_db, word, link, linked_at, made_at";

/// What a keeper states of a repeater.
#[derive(Debug, Clone, PartialEq)]
pub struct Stated {
    /// Name.
    pub name: String,
    /// Output frequency, as typed.
    pub output_mhz: String,
    /// Where it stands.
    pub place: String,
    /// The controller's hang time.
    pub hang_s: Option<f64>,
    /// The squelch's hysteresis.
    pub hysteresis_db: Option<f64>,
    /// What members read on the send-in page.
    pub word: String,
}

impl Store {
    /// All, in order of name.
    ///
    /// # Errors
    /// The database fails.
    pub async fn repeaters(&self) -> Outcome<Vec<Repeater>> {
        let sql = format!("SELECT {COLUMNS} FROM repeaters ORDER BY name, id");
        Ok(sqlx::query_as(sqlx::AssertSqlSafe(sql))
            .fetch_all(&self.pool)
            .await?)
    }

    /// One.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn repeater(&self, id: &str) -> Outcome<Repeater> {
        self.repeater_where("id", id).await
    }

    /// The one that a send-in link leads to.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn repeater_by_link(&self, link: &str) -> Outcome<Repeater> {
        self.repeater_where("link", link).await
    }

    async fn repeater_where(&self, column: &str, value: &str) -> Outcome<Repeater> {
        let sql = format!("SELECT {COLUMNS} FROM repeaters WHERE {column} = $1");
        let query = sqlx::query_as(sqlx::AssertSqlSafe(sql)).bind(value);
        let found = query.fetch_optional(&self.pool).await?;
        found.ok_or(Fault::Missing)
    }

    /// A new one; gives its key.
    ///
    /// # Errors
    /// The database fails.
    pub async fn new_repeater(&self, stated: &Stated, by: &str) -> Outcome<String> {
        let mut work = self.work().await?;
        let id = add(&mut work, stated).await?;
        audit::write(&mut work, by, "added a repeater", &stated.name).await?;
        work.commit().await?;
        Ok(id)
    }

    /// States it anew.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn change_repeater(&self, id: &str, stated: &Stated, by: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        let sql = "UPDATE repeaters SET name = $1, output_mhz = $2, place = $3, hang_s = $4, \
                   hysteresis_db = $5, word = $6 WHERE id = $7";
        let done = sqlx::query(sql)
            .bind(&stated.name)
            .bind(&stated.output_mhz)
            .bind(&stated.place)
            .bind(stated.hang_s)
            .bind(stated.hysteresis_db)
            .bind(&stated.word)
            .bind(id)
            .execute(&mut *work)
            .await?;
        if done.rows_affected() == 0 {
            return Err(Fault::Missing);
        }
        audit::write(&mut work, by, "changed a repeater", &stated.name).await?;
        Ok(work.commit().await?)
    }

    /// A new send-in link in place of the old one, which opens nothing from then on.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn renew_link(&self, id: &str, by: &str) -> Outcome<String> {
        let link = secrets::word();
        let mut work = self.work().await?;
        let sql = "UPDATE repeaters SET link = $1, linked_at = $2 WHERE id = $3 RETURNING name";
        let name: Option<String> = sqlx::query_scalar(sql)
            .bind(&link)
            .bind(moment::now())
            .bind(id)
            .fetch_optional(&mut *work)
            .await?;
        audit::write(
            &mut work,
            by,
            "renewed a link",
            &name.ok_or(Fault::Missing)?,
        )
        .await?;
        work.commit().await?;
        Ok(link)
    }

    /// Deletes a repeater with its cases. Its recordings have been deleted before.
    ///
    /// # Errors
    /// It still has recordings, there is none such, or the database fails.
    pub async fn delete_repeater(&self, id: &str, by: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        for sql in [
            "DELETE FROM uploads WHERE repeater = $1",
            "DELETE FROM cases WHERE repeater = $1",
        ] {
            sqlx::query(sql).bind(id).execute(&mut *work).await?;
        }
        let sql = "DELETE FROM repeaters WHERE id = $1 RETURNING name";
        let name: Option<String> = (sqlx::query_scalar(sql).bind(id))
            .fetch_optional(&mut *work)
            .await?;
        let name = name.ok_or(Fault::Missing)?;
        audit::write(&mut work, by, "deleted a repeater", &name).await?;
        work.commit().await?;
        self.make_deletion_real().await
    }
}

/// Adds a repeater's row; gives its key.
pub(super) async fn add(work: &mut Work, stated: &Stated) -> Outcome<String> {
    let id = secrets::word();
    let sql = "INSERT INTO repeaters (id, name, output_mhz, place, hang_s, hysteresis_db, word, \
               link, linked_at, made_at) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $9)";
    sqlx::query(sql)
        .bind(&id)
        .bind(&stated.name)
        .bind(&stated.output_mhz)
        .bind(&stated.place)
        .bind(stated.hang_s)
        .bind(stated.hysteresis_db)
        .bind(&stated.word)
        .bind(secrets::word())
        .bind(moment::now())
        .execute(&mut **work)
        .await?;
    Ok(id)
}

/// The key of the repeater of this name that was made first.
pub(super) async fn named(work: &mut Work, name: &str) -> Outcome<Option<String>> {
    let sql = "SELECT id FROM repeaters WHERE name = $1 ORDER BY made_at LIMIT 1";
    let query = sqlx::query_scalar(sql).bind(name);
    Ok(query.fetch_optional(&mut **work).await?)
}
