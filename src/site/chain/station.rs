//! A station as its keeper wrote it down.

use super::kinds::Kind;
use crate::tuning::site as tuned;

/// Which chain a section belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// From the receiver outwards.
    Receive,
    /// From the transmitter outwards.
    Transmit,
}

/// One section of a chain.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Its name, of the keeper's own choice.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// Which chain it belongs to.
    pub side: Side,
    /// Chance to be the culprit, relative to the others.
    pub weight: f64,
    /// Whether the weight is the keeper's own and not the kind's.
    pub weight_stated: bool,
    /// Price of a test with the load on its outer end; `None` where none can be put.
    pub test: Option<TestPrice>,
}

/// Price of a test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestPrice {
    /// Time.
    pub minutes: f64,
    /// Money, in the keeper's own currency.
    pub money: f64,
    /// Whether a rigger must be there.
    pub rigger: bool,
}

/// How far a test can be trusted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trust {
    /// Chance that one look shows a fault that is before the load.
    pub shows: f64,
    /// Chance that one look shows desense although the fault is beyond the load.
    pub false_alarm: f64,
}

impl Trust {
    /// Every test tells the truth.
    pub const FULL: Self = Self {
        shows: 1.0,
        false_alarm: 0.0,
    };
    /// Assumed once results contradict each other.
    pub const DOUBTFUL: Self = Self {
        shows: tuned::DOUBTFUL_SHOWS,
        false_alarm: tuned::DOUBTFUL_FALSE,
    };

    /// Chance that at least one of `looks` shows desense with the fault before the load.
    #[must_use]
    pub fn stays_before(self, looks: u32) -> f64 {
        1.0 - (1.0 - self.shows).powf(f64::from(looks))
    }

    /// The same with the fault beyond the load.
    #[must_use]
    pub fn stays_beyond(self, looks: u32) -> f64 {
        1.0 - (1.0 - self.false_alarm).powf(f64::from(looks))
    }
}

/// What a test showed.
#[derive(Debug, Clone, PartialEq)]
pub struct TestResult {
    /// Index of the section that had the load on its outer end.
    pub after: usize,
    /// Whether there was still desense.
    pub stays: bool,
    /// How many times it was looked at.
    pub looks: u32,
    /// Date, as written.
    pub date: Option<String>,
}

/// A station.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Its name.
    pub name: Option<String>,
    /// Sections on one line: the receive chain from the receiver outwards, then the transmit
    /// chain from the transmitter outwards. A load on the receive chain cuts the whole transmit
    /// chain off as well.
    pub sections: Vec<Section>,
    /// What an hour of work is set against money.
    pub hour_worth: f64,
    /// What it costs to call the rigger, once.
    pub rigger_call: f64,
    /// How far a test can be trusted.
    pub trust: Trust,
    /// Looks at each test.
    pub looks: u32,
    /// Belief in one section above which the search stops.
    pub sure_enough: f64,
    /// Results so far, in the order written.
    pub results: Vec<TestResult>,
}
