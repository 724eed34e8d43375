//! How often somebody may knock: buckets that fill again with time.

use super::fault::{Fault, Outcome};
use std::collections::HashMap;
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// Callers that are remembered; beyond it the fullest buckets are forgotten, which lets them in.
const MOST_CALLERS: usize = 20_000;

/// A limit on something.
pub struct Knocks {
    at_once: f64,
    every: Duration,
    buckets: Mutex<HashMap<String, (f64, Instant)>>,
}

impl Knocks {
    /// So many at once, and one more after every so long.
    #[must_use]
    pub fn new(at_once: u32, every: Duration) -> Self {
        Self {
            at_once: f64::from(at_once),
            every,
            buckets: Mutex::default(),
        }
    }

    /// Somebody knocks.
    ///
    /// # Errors
    /// Too often; the fault says how long to wait.
    pub fn knock(&self, caller: &str) -> Outcome<()> {
        self.knock_at(caller, Instant::now())
    }

    fn knock_at(&self, caller: &str, now: Instant) -> Outcome<()> {
        let mut buckets = (self.buckets.lock()).unwrap_or_else(std::sync::PoisonError::into_inner);
        if buckets.len() >= MOST_CALLERS {
            let full = self.every.mul_f64(self.at_once);
            buckets.retain(|_, (_, since)| now.duration_since(*since) < full);
            if buckets.len() >= MOST_CALLERS {
                buckets.clear();
            }
        }
        let (left, since) = buckets
            .entry(caller.to_owned())
            .or_insert((self.at_once, now));
        let gained = now.duration_since(*since).as_secs_f64() / self.every.as_secs_f64();
        *left = (*left + gained).min(self.at_once);
        *since = now;
        if *left < 1.0 {
            let wait = self.every.as_secs_f64() * (1.0 - *left);
            return Err(Fault::TooMany(Duration::from_secs_f64(wait).as_secs() + 1));
        }
        *left -= 1.0;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bucket_empties_and_fills_again_for_each_caller() {
        let knocks = Knocks::new(2, Duration::from_secs(10));
        let start = Instant::now();
        assert!(knocks.knock_at("a", start).is_ok());
        assert!(knocks.knock_at("a", start).is_ok());
        let refused = knocks.knock_at("a", start + Duration::from_secs(1));
        assert!(matches!(refused, Err(Fault::TooMany(10))), "{refused:?}");
        assert!(knocks.knock_at("b", start).is_ok());
        assert!(
            knocks
                .knock_at("a", start + Duration::from_secs(21))
                .is_ok()
        );
    }
}
