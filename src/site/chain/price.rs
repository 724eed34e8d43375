//! Prices on one scale.

use super::station::{Station, TestPrice};

/// Prices of the cuts between neighbouring sections; cut `k` lies on the outer end of section `k`.
#[derive(Debug, Clone, PartialEq)]
pub struct Cuts {
    /// Price of each cut, `None` where no load can be put; one fewer than sections.
    pub prices: Vec<Option<CutPrice>>,
    /// Price of calling the rigger, paid once.
    pub rigger_call: f64,
}

/// Price of one cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutPrice {
    /// Without the call of the rigger.
    pub base: f64,
    /// Whether the rigger must be there.
    pub rigger: bool,
}

impl Cuts {
    /// Of a station, in its keeper's currency: money plus time at what an hour is worth.
    #[must_use]
    pub fn of(station: &Station) -> Self {
        let price = |test: TestPrice| CutPrice {
            base: test.money + test.minutes / 60.0 * station.hour_worth,
            rigger: test.rigger,
        };
        let inner = station.sections.len().saturating_sub(1);
        Self {
            prices: station.sections[..inner]
                .iter()
                .map(|s| s.test.map(price))
                .collect(),
            rigger_call: station.rigger_call,
        }
    }

    /// What a cut costs now, and whether the rigger is there afterwards; `None` where no load can
    /// be put.
    #[must_use]
    pub fn price(&self, cut: usize, rigger_there: bool) -> Option<(f64, bool)> {
        let price = self.prices[cut]?;
        let call = if price.rigger && !rigger_there {
            self.rigger_call
        } else {
            0.0
        };
        Some((price.base + call, rigger_there || price.rigger))
    }
}
