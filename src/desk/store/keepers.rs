//! Keepers, and the one-time links by which they come in.

use super::rows::{Fresh, Keeper, Opening};
use super::{Store, audit, readmission};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::moment::{DAY, now};
use crate::desk::secrets;

/// May change things.
pub const KEEPER: &str = "keeper";
/// May look.
pub const READER: &str = "reader";
/// Days that a one-time link opens.
const OPENING_DAYS: i64 = 7;

const COLUMNS: &str = "id, name, role, password, made_at, closed_at";

impl Store {
    /// Where there is no keeper yet: a new link for the first one, in place of any older.
    ///
    /// # Errors
    /// The database fails.
    pub async fn first_opening(&self) -> Outcome<Option<String>> {
        let mut work = self.work().await?;
        let keepers: i64 = sqlx::query_scalar("SELECT COUNT(*) FROM keepers")
            .fetch_one(&mut *work)
            .await?;
        if keepers > 0 {
            return Ok(None);
        }
        sqlx::query("DELETE FROM openings WHERE kind = 'setup'")
            .execute(&mut *work)
            .await?;
        let fresh = opening(
            &mut work,
            ("setup", OPENING_DAYS),
            KEEPER,
            "",
            "the program",
        )
        .await?;
        work.commit().await?;
        Ok(Some(fresh.word))
    }

    /// An invitation.
    ///
    /// # Errors
    /// The database fails.
    pub async fn invite(&self, role: &str, for_whom: &str, by: &str) -> Outcome<Fresh> {
        let mut work = self.work().await?;
        let kind = ("invitation", OPENING_DAYS);
        let fresh = opening(&mut work, kind, role, for_whom, by).await?;
        audit::write(&mut work, by, "invited", &format!("{for_whom} ({role})")).await?;
        work.commit().await?;
        Ok(fresh)
    }

    /// Invitations that nobody has used yet.
    ///
    /// # Errors
    /// The database fails.
    pub async fn invitations(&self) -> Outcome<Vec<Opening>> {
        let sql = "SELECT id, kind, role, for_whom, made_by, ends_at FROM openings \
                   WHERE kind = 'invitation' AND used_at IS NULL AND ends_at > $1 \
                   ORDER BY ends_at, id";
        Ok(sqlx::query_as(sql)
            .bind(now())
            .fetch_all(&self.pool)
            .await?)
    }

    /// Takes an invitation back.
    ///
    /// # Errors
    /// There is none such, or the database fails.
    pub async fn withdraw(&self, id: &str, by: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        let sql = "DELETE FROM openings WHERE id = $1 AND kind = 'invitation' \
                   AND used_at IS NULL RETURNING for_whom";
        let gone: Option<String> = (sqlx::query_scalar(sql).bind(id))
            .fetch_optional(&mut *work)
            .await?;
        let about = gone.ok_or(Fault::Missing)?;
        audit::write(&mut work, by, "withdrew an invitation", &about).await?;
        Ok(work.commit().await?)
    }

    /// A link that still opens.
    ///
    /// # Errors
    /// The database fails.
    pub async fn opening(&self, token: &str) -> Outcome<Option<Opening>> {
        let sql = "SELECT id, kind, role, for_whom, made_by, ends_at FROM openings \
                   WHERE token = $1 AND used_at IS NULL AND ends_at > $2";
        let query = sqlx::query_as(sql).bind(secrets::kept(token)).bind(now());
        Ok(query.fetch_optional(&self.pool).await?)
    }

    /// Uses a link up and makes the keeper.
    ///
    /// # Errors
    /// The link does not open any more, the name is taken, or the database fails.
    pub async fn enter(&self, token: &str, name: &str, password: &str) -> Outcome<String> {
        let mut work = self.work().await?;
        let sql = "UPDATE openings SET used_at = $1 \
                   WHERE token = $2 AND used_at IS NULL AND ends_at > $1 RETURNING role";
        let role: Option<String> = sqlx::query_scalar(sql)
            .bind(now())
            .bind(secrets::kept(token))
            .fetch_optional(&mut *work)
            .await?;
        let role = role.ok_or(Fault::Missing)?;
        let id = secrets::word();
        let sql = "INSERT INTO keepers (id, name, role, password, made_at) \
                   VALUES ($1, $2, $3, $4, $5) ON CONFLICT (name) DO NOTHING";
        let made = sqlx::query(sql)
            .bind(&id)
            .bind(name)
            .bind(&role)
            .bind(password)
            .bind(now())
            .execute(&mut *work)
            .await?;
        if made.rows_affected() == 0 {
            return Err(Fault::Conflict(
                "somebody of that name is here already; choose another".into(),
            ));
        }
        audit::write(&mut work, name, "joined", &role).await?;
        work.commit().await?;
        Ok(id)
    }

    /// By name, if the account is open.
    ///
    /// # Errors
    /// The database fails.
    pub async fn keeper_named(&self, name: &str) -> Outcome<Option<Keeper>> {
        let sql = format!("SELECT {COLUMNS} FROM keepers WHERE name = $1 AND closed_at IS NULL");
        let query = sqlx::query_as(sqlx::AssertSqlSafe(sql)).bind(name);
        Ok(query.fetch_optional(&self.pool).await?)
    }

    /// All, in order of name.
    ///
    /// # Errors
    /// The database fails.
    pub async fn keepers(&self) -> Outcome<Vec<Keeper>> {
        let sql = format!("SELECT {COLUMNS} FROM keepers ORDER BY name");
        Ok(sqlx::query_as(sqlx::AssertSqlSafe(sql))
            .fetch_all(&self.pool)
            .await?)
    }

    /// Gives somebody another role. The last keeper stays one.
    ///
    /// # Errors
    /// There is no such account, it is the last keeper's, or the database fails.
    pub async fn change_role(&self, id: &str, role: &str, by: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        if role != KEEPER {
            self.another_keeper(&mut work, id).await?;
        }
        let sql = "UPDATE keepers SET role = $1 WHERE id = $2 AND closed_at IS NULL \
                   RETURNING name";
        let name: Option<String> = sqlx::query_scalar(sql)
            .bind(role)
            .bind(id)
            .fetch_optional(&mut *work)
            .await?;
        let about = format!("{}: {role}", name.ok_or(Fault::Missing)?);
        audit::write(&mut work, by, "changed a role", &about).await?;
        Ok(work.commit().await?)
    }

    /// There is a keeper beside this one. All are held until the commit, so that two keepers who
    /// take each other's role away cannot both succeed.
    async fn another_keeper(&self, work: &mut super::Work, id: &str) -> Outcome<()> {
        let sql = format!(
            "SELECT id FROM keepers WHERE role = 'keeper' AND closed_at IS NULL ORDER BY id{}",
            self.engine.for_update()
        );
        let open: Vec<String> = sqlx::query_scalar(sqlx::AssertSqlSafe(sql))
            .fetch_all(&mut **work)
            .await?;
        if open == [id] {
            return Err(Fault::Conflict(
                "this is the last keeper; invite another first".into(),
            ));
        }
        Ok(())
    }

    /// Closes an account and everything that was open in its name. The last keeper stays.
    ///
    /// # Errors
    /// There is no such account, it is the last keeper's, or the database fails.
    pub async fn close_account(&self, id: &str, by: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        self.another_keeper(&mut work, id).await?;
        let sql = "UPDATE keepers SET closed_at = $1, password = '' \
                   WHERE id = $2 AND closed_at IS NULL RETURNING name";
        let name: Option<String> = sqlx::query_scalar(sql)
            .bind(now())
            .bind(id)
            .fetch_optional(&mut *work)
            .await?;
        let name = name.ok_or(Fault::Missing)?;
        for sql in [
            "DELETE FROM sessions WHERE keeper = $1",
            "DELETE FROM bearers WHERE keeper = $1",
            readmission::NO_LINK,
        ] {
            sqlx::query(sql).bind(id).execute(&mut *work).await?;
        }
        audit::write(&mut work, by, "closed account", &name).await?;
        Ok(work.commit().await?)
    }

    /// Puts another password in place, and ends every session.
    ///
    /// # Errors
    /// The database fails.
    pub async fn change_password(&self, id: &str, name: &str, password: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        sqlx::query("UPDATE keepers SET password = $1 WHERE id = $2")
            .bind(password)
            .bind(id)
            .execute(&mut *work)
            .await?;
        for sql in [
            "DELETE FROM sessions WHERE keeper = $1",
            readmission::NO_LINK,
        ] {
            sqlx::query(sql).bind(id).execute(&mut *work).await?;
        }
        audit::write(&mut work, name, "changed password", "").await?;
        Ok(work.commit().await?)
    }
}

/// A link of a kind that opens once within so many days.
pub(super) async fn opening(
    work: &mut super::Work,
    (kind, days): (&str, i64),
    role: &str,
    for_whom: &str,
    by: &str,
) -> Outcome<Fresh> {
    let fresh = Fresh {
        id: secrets::word(),
        word: secrets::word(),
    };
    let sql = "INSERT INTO openings (id, token, kind, role, for_whom, made_by, made_at, ends_at) \
               VALUES ($1, $2, $3, $4, $5, $6, $7, $8)";
    sqlx::query(sql)
        .bind(&fresh.id)
        .bind(secrets::kept(&fresh.word))
        .bind(kind)
        .bind(role)
        .bind(for_whom)
        .bind(by)
        .bind(now())
        .bind(now() + days * DAY)
        .execute(&mut **work)
        .await?;
    Ok(fresh)
}
