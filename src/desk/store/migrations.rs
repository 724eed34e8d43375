//! The schema's history: each step once, in order, checked by its digest at every start.

use sqlx::AnyPool;
use sqlx::migrate::{Migration, MigrationType, Migrator};
use std::borrow::Cow;

/// Number, name and text of each step. A step that was shipped is never changed; add another.
const STEPS: [(i64, &str, &str); 3] = [
    (1, "first", include_str!("schema/0001_first.sql")),
    (2, "later", include_str!("schema/0002_later.sql")),
    (3, "estimated", include_str!("schema/0003_estimated.sql")),
];

/// Takes the steps that are missing.
///
/// # Errors
/// What is wrong, in words: the schema is newer than this program, or another's.
pub async fn run(pool: &AnyPool) -> Result<(), String> {
    let steps = STEPS.map(|(version, name, sql)| {
        let text = sqlx::SqlSafeStr::into_sql_str(sql);
        Migration::new(
            version,
            Cow::Borrowed(name),
            MigrationType::Simple,
            text,
            false,
        )
    });
    let migrator = Migrator::with_migrations(steps.into());
    migrator.run(pool).await.map_err(|fault| {
        format!("its schema is not one that this program can bring up to its own ({fault})")
    })
}
