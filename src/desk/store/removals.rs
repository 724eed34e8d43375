//! Objects that nobody needs any more. Each is put down in the very commit that made it needless,
//! and struck off when the store of originals has removed it: what that refuses is tried again.

use super::{Store, Work};
use crate::desk::fault::Outcome;
use crate::desk::moment::{MINUTE, SECOND, now};

/// The first pause after a try that failed; each further one is twice as long.
const FIRST_PAUSE: i64 = 5 * SECOND;
/// The longest pause.
const LONGEST_PAUSE: i64 = 10 * MINUTE;

/// Puts an object down for removal.
///
/// # Errors
/// The database fails.
pub(super) async fn put_down(work: &mut Work, place: &str) -> Outcome<()> {
    sqlx::query("INSERT INTO removals (place, made_at) VALUES ($1, $2)")
        .bind(place)
        .bind(now())
        .execute(&mut **work)
        .await?;
    Ok(())
}

impl Store {
    /// Objects whose removal is due, the longest waiting first.
    ///
    /// # Errors
    /// The database fails.
    pub async fn removals_due(&self) -> Outcome<Vec<String>> {
        let sql = "SELECT place FROM removals WHERE due_at <= $1 ORDER BY due_at, made_at";
        let query = sqlx::query_scalar(sql).bind(now());
        Ok(query.fetch_all(&self.pool).await?)
    }

    /// How many objects the store would not remove so far.
    ///
    /// # Errors
    /// The database fails.
    pub async fn removals_refused(&self) -> Outcome<usize> {
        let count: i64 = sqlx::query_scalar("SELECT COUNT(*) FROM removals WHERE tries > 0")
            .fetch_one(&self.pool)
            .await?;
        Ok(usize::try_from(count).unwrap_or(0))
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

    /// An object could not be removed, and is tried again after a pause.
    ///
    /// # Errors
    /// The database fails.
    pub async fn not_removed(&self, place: &str) -> Outcome<()> {
        let mut work = self.work().await?;
        let sql = "UPDATE removals SET tries = tries + 1 WHERE place = $1 RETURNING tries";
        let tries: Option<i64> = (sqlx::query_scalar(sql).bind(place))
            .fetch_optional(&mut *work)
            .await?;
        sqlx::query("UPDATE removals SET due_at = $1 WHERE place = $2")
            .bind(now() + pause(tries.unwrap_or(1)))
            .bind(place)
            .execute(&mut *work)
            .await?;
        Ok(work.commit().await?)
    }
}

/// The pause after so many tries.
fn pause(tries: i64) -> i64 {
    let doublings = u32::try_from(tries - 1).unwrap_or(0).min(16);
    (FIRST_PAUSE << doublings).min(LONGEST_PAUSE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pauses_double_up_to_the_longest() {
        let pauses: Vec<i64> = [1, 2, 3, 7, 8, 1000]
            .map(|tries| pause(tries) / SECOND)
            .into();
        assert_eq!(pauses, [5, 10, 20, 320, 600, 600]);
    }
}
