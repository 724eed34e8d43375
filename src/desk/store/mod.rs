//! The database. What is asked of it is written once, in SQL that both engines know; what differs
//! between them stands behind [`Engine`].

pub mod audit;
pub mod cases;
mod engine;
pub mod imports;
pub mod jobs;
pub mod keepers;
mod migrations;
mod notes;
mod overview;
mod postgres;
mod readmission;
pub mod recordings;
mod removals;
pub mod repeaters;
pub mod rows;
pub mod sessions;
mod sqlite;
pub mod tables;
pub mod uploads;

use super::fault::Outcome;
use super::settings::Database;
use crate::error::{Error, Result};
use engine::Engine;
use sqlx::any::AnyPoolOptions;
use sqlx::{Any, AnyPool, Transaction};
use std::sync::Arc;

/// An open database.
#[derive(Clone)]
pub struct Store {
    pool: AnyPool,
    engine: Arc<dyn Engine>,
}

/// A piece of work that is done whole or not at all.
pub type Work = Transaction<'static, Any>;

impl Store {
    /// Opens it and brings its schema up to this program's.
    ///
    /// # Errors
    /// It cannot be reached, or its schema is that of a newer or of another program.
    pub async fn open(database: &Database) -> Result<Self> {
        sqlx::any::install_default_drivers();
        let engine: Arc<dyn Engine> = match database {
            Database::Sqlite(path) => Arc::new(sqlite::Sqlite::new(path)?),
            Database::Postgres(url) => Arc::new(postgres::Postgres::new(url)),
        };
        let mut options = AnyPoolOptions::new()
            .max_connections(engine.connections())
            .acquire_timeout(std::time::Duration::from_secs(60));
        if let Some(setting) = engine.at_connection() {
            options = options.after_connect(move |connection, _| {
                Box::pin(async move {
                    for statement in setting.split_inclusive(';') {
                        sqlx::query(statement).execute(&mut *connection).await?;
                    }
                    Ok(())
                })
            });
        }
        let broken = |what: String| Error::BadSetting {
            place: "--database".into(),
            what,
            remedy: engine.remedy(),
        };
        let pool = (options.connect(&engine.url()).await)
            .map_err(|fault| broken(format!("the database cannot be opened ({fault})")))?;
        migrations::run(&pool).await.map_err(broken)?;
        Ok(Self { pool, engine })
    }

    /// Begins a piece of work that writes.
    ///
    /// # Errors
    /// The database fails.
    pub async fn work(&self) -> Outcome<Work> {
        Ok(self.pool.begin_with(self.engine.begin()).await?)
    }

    /// Begins a piece of work that reads everything as it is at one moment.
    ///
    /// # Errors
    /// The database fails.
    pub async fn look(&self) -> Outcome<Work> {
        Ok(self.pool.begin_with(self.engine.begin_look()).await?)
    }

    /// Whether it answers.
    ///
    /// # Errors
    /// It does not.
    pub async fn ping(&self) -> Outcome<()> {
        sqlx::query("SELECT 1").execute(&self.pool).await?;
        Ok(())
    }

    /// Takes what was deleted off the disk at once, where the engine would leave it for a while.
    async fn make_deletion_real(&self) -> Outcome<()> {
        if let Some(statement) = self.engine.after_deletion() {
            sqlx::query(statement).execute(&self.pool).await?;
        }
        Ok(())
    }

    /// Closes it in order.
    pub async fn close(&self) {
        self.pool.close().await;
    }
}

/// Which part of a list is wanted.
#[derive(Debug, Clone, Copy)]
pub struct Slice {
    /// Most of it.
    pub most: i64,
    /// How many to pass over.
    pub skip: i64,
}

/// A pattern for `LIKE` that finds these words anywhere; their own wild cards only find more.
fn containing(words: &str) -> String {
    format!("%{}%", words.to_lowercase())
}
