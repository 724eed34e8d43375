//! Whoever has lost the password comes back by a one-time link, which only the machine gives.

use super::keepers::opening;
use super::rows::{Fresh, Keeper};
use super::{Store, audit};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::moment::now;
use crate::desk::secrets;

/// What the link is, and the days that it opens: whoever asks for it is waiting for it.
const LINK: (&str, i64) = ("again", 1);
/// Who is behind it, in the log: nobody signs in at a machine's command line.
const BY: &str = "the machine";

/// Ends the links by which a keeper would come back.
pub(super) const NO_LINK: &str =
    "DELETE FROM openings WHERE kind = 'again' AND used_at IS NULL AND for_whom = $1";

impl Store {
    /// A link for somebody who has an account, in place of any older one of theirs.
    ///
    /// # Errors
    /// There is no such account, or the database fails.
    pub async fn readmit(&self, name: &str) -> Outcome<Fresh> {
        let Some(keeper) = self.keeper_named(name).await? else {
            return Err(self.nobody(name).await?);
        };
        let mut work = self.work().await?;
        (sqlx::query(NO_LINK).bind(&keeper.id))
            .execute(&mut *work)
            .await?;
        let fresh = opening(&mut work, LINK, &keeper.role, &keeper.id, BY).await?;
        audit::write(&mut work, BY, "made a link for a new password", name).await?;
        work.commit().await?;
        Ok(fresh)
    }

    /// Names are no secret to whoever has the machine.
    async fn nobody(&self, name: &str) -> Outcome<Fault> {
        let open = self.keepers().await?;
        let names: Vec<String> = (open.into_iter())
            .filter(|keeper| keeper.closed_at.is_none())
            .map(|keeper| format!("\"{}\"", keeper.name))
            .collect();
        let remedy = if names.is_empty() {
            "start the desk: it prints a link for the first keeper".into()
        } else {
            format!("these have one: {}", names.join(", "))
        };
        Ok(Fault::Bad(format!(
            "nobody called \"{name}\" has an account; {remedy}"
        )))
    }

    /// Whom a link that still opens lets in.
    ///
    /// # Errors
    /// The database fails.
    pub async fn readmitted(&self, token: &str) -> Outcome<Option<Keeper>> {
        let sql = "SELECT k.id, k.name, k.role, k.password, k.made_at, k.closed_at \
                   FROM openings o JOIN keepers k ON k.id = o.for_whom \
                   WHERE o.token = $1 AND o.kind = 'again' AND o.used_at IS NULL \
                   AND o.ends_at > $2 AND k.closed_at IS NULL";
        let query = sqlx::query_as(sql).bind(secrets::kept(token)).bind(now());
        Ok(query.fetch_optional(&self.pool).await?)
    }

    /// Uses a link up, puts another password in place, and ends every session.
    ///
    /// # Errors
    /// The link does not open any more, or the database fails.
    pub async fn come_back(&self, token: &str, password: &str) -> Outcome<Keeper> {
        let mut work = self.work().await?;
        let sql = "UPDATE openings SET used_at = $1 WHERE token = $2 AND kind = 'again' \
                   AND used_at IS NULL AND ends_at > $1 RETURNING for_whom";
        let id: Option<String> = sqlx::query_scalar(sql)
            .bind(now())
            .bind(secrets::kept(token))
            .fetch_optional(&mut *work)
            .await?;
        let sql = "UPDATE keepers SET password = $1 WHERE id = $2 AND closed_at IS NULL \
                   RETURNING id, name, role, password, made_at, closed_at";
        let keeper: Option<Keeper> = sqlx::query_as(sql)
            .bind(password)
            .bind(id.ok_or(Fault::Missing)?)
            .fetch_optional(&mut *work)
            .await?;
        let keeper = keeper.ok_or(Fault::Missing)?;
        (sqlx::query("DELETE FROM sessions WHERE keeper = $1").bind(&keeper.id))
            .execute(&mut *work)
            .await?;
        audit::write(&mut work, &keeper.name, "set a new password by a link", "").await?;
        work.commit().await?;
        Ok(keeper)
    }
}
