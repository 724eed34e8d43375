//! What a watcher tells. Times are seconds from the stream's first sample.

use crate::units::{Instant, Seconds};

/// Something that began, ended or went wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Happening {
    /// The repeater began to cycle: one episode, one alarm.
    Raised(Raised),
    /// It stopped.
    Ended(Ended),
    /// Nothing at all arrives any more.
    Nothing {
        /// Since when.
        since: Instant,
    },
    /// Something arrives again.
    Something {
        /// When it came.
        at: Instant,
    },
}

/// An alarm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Raised {
    /// Counted from 1.
    pub episode: u64,
    /// When the alarm was given.
    pub at: Instant,
    /// When the cycling began.
    pub start: Instant,
    /// The third return; `None` where fewer were seen.
    pub third_return: Option<Instant>,
    /// Probability of self-desense.
    pub probability: f64,
    /// Carrier drops so far.
    pub drops: usize,
    /// How many came straight back.
    pub came_back: usize,
}

impl Raised {
    /// From the third return to the alarm.
    #[must_use]
    pub fn delay(&self) -> Option<Seconds> {
        self.third_return.map(|third| self.at - third)
    }
}

/// The end of an episode.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ended {
    /// As at its alarm.
    pub episode: u64,
    /// When the cycling began.
    pub start: Instant,
    /// Its last sign.
    pub end: Instant,
    /// Highest probability of self-desense that it had.
    pub probability: f64,
    /// Carrier drops in it.
    pub drops: usize,
    /// How many came straight back.
    pub came_back: usize,
}
