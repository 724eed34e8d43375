//! PostgreSQL, for several desks' workers on several machines.

use super::engine::Engine;

/// The engine.
pub struct Postgres {
    url: String,
}

impl Postgres {
    /// Of an address. Statements are not kept from one use to the next: the driver gives a number
    /// that is missing another type than one that is there (sqlx 0.9.0, `any/arguments.rs`), and a
    /// kept statement would then be fed bytes of the wrong length.
    pub fn new(url: &str) -> Self {
        let mark = if url.contains('?') { '&' } else { '?' };
        Self {
            url: format!("{url}{mark}statement-cache-capacity=0"),
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_keeps_what_it_says() {
        let of = |url: &str| Postgres::new(url).url();
        assert_eq!(
            of("postgres://h/d"),
            "postgres://h/d?statement-cache-capacity=0"
        );
        let tls = of("postgres://h/d?sslmode=require");
        assert_eq!(
            tls,
            "postgres://h/d?sslmode=require&statement-cache-capacity=0"
        );
    }
}
