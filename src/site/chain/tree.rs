//! A decision tree.

use super::price::Cuts;
use super::station::Station;

/// What to do, and then.
#[derive(Debug, Clone, PartialEq)]
pub enum Tree {
    /// Put the load on the outer end of section `cut`.
    Test {
        /// The section before the load.
        cut: usize,
        /// Probability to get here.
        reach: f64,
        /// If the desense stays.
        stays: Box<Tree>,
        /// If it is gone.
        gone: Box<Tree>,
    },
    /// It lies in these sections, first to last; loads cannot part them, or it is sure enough.
    Found {
        /// First section.
        first: usize,
        /// Last section.
        last: usize,
        /// Belief that it does.
        belief: f64,
        /// Probability to get here.
        reach: f64,
    },
    /// Tests would go on from here; the plan is drawn no further.
    Open {
        /// Probability to get here.
        reach: f64,
    },
}

/// What a tree will take on average.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Expected {
    /// On the one scale of all prices.
    pub cost: f64,
    /// Minutes of tests.
    pub minutes: f64,
    /// Money for tests and rigger.
    pub money: f64,
    /// Tests.
    pub tests: f64,
    /// Probability that the rigger must be called.
    pub rigger: f64,
}

impl Tree {
    /// Probability to get here.
    #[must_use]
    pub fn reach(&self) -> f64 {
        match self {
            Self::Test { reach, .. } | Self::Found { reach, .. } | Self::Open { reach } => *reach,
        }
    }

    /// Number of tests in it.
    #[must_use]
    pub fn tests(&self) -> usize {
        match self {
            Self::Test { stays, gone, .. } => 1 + stays.tests() + gone.tests(),
            _ => 0,
        }
    }

    /// What it will take on average, rigger not there yet.
    #[must_use]
    pub fn expected(&self, station: &Station) -> Expected {
        let mut sum = Expected::default();
        self.add(station, &Cuts::of(station), false, &mut sum);
        sum
    }

    fn add(&self, station: &Station, cuts: &Cuts, called: bool, sum: &mut Expected) {
        let Self::Test {
            cut,
            reach,
            stays,
            gone,
        } = self
        else {
            return;
        };
        let (Some(test), Some((price, then))) =
            (station.sections[*cut].test, cuts.price(*cut, called))
        else {
            return;
        };
        sum.cost += reach * price;
        sum.minutes += reach * test.minutes;
        sum.money += reach * test.money;
        sum.tests += reach;
        if then && !called {
            sum.money += reach * station.rigger_call;
            sum.rigger += reach;
        }
        stays.add(station, cuts, then, sum);
        gone.add(station, cuts, then, sum);
    }
}
