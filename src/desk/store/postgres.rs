//! PostgreSQL, for several desks' workers on several machines.

use super::engine::Engine;

/// The engine.
pub struct Postgres {
    url: String,
}

impl Postgres {
    /// Of an address.
    pub fn new(url: &str) -> Self {
        Self { url: url.into() }
    }
}

impl Engine for Postgres {
    fn url(&self) -> String {
        self.url.clone()
    }

    fn remedy(&self) -> String {
        "check that the server runs, that the database exists and that the user may make tables \
         in it"
            .into()
    }

    fn connections(&self) -> u32 {
        10
    }

    fn at_connection(&self) -> Option<&'static str> {
        None
    }

    fn begin(&self) -> &'static str {
        "BEGIN"
    }

    fn begin_look(&self) -> &'static str {
        "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY"
    }

    fn for_update(&self) -> &'static str {
        " FOR UPDATE"
    }

    fn for_update_skip_locked(&self) -> &'static str {
        " FOR UPDATE SKIP LOCKED"
    }

    fn after_deletion(&self) -> Option<&'static str> {
        // The server's own vacuum clears the pages.
        None
    }
}
