//! Expected-cost look-ahead for tests that can lie: every test that tells anything is tried in
//! thought, [`LOOK_AHEAD`] deep, and what would follow is priced by carrying the rule of least
//! price per bit through to its end. Looking ahead from a rule in this way cannot do worse than
//! the rule, so far as its price is carried through (policy improvement).

use super::doubtful::{Doubtful, foremost};
use crate::tuning::site::{CARRIED_REACH, CARRIED_TESTS, LOOK_AHEAD};

/// A cut and what the search costs from here on if it comes first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// The section before the load.
    pub cut: usize,
    /// Expected cost from here on.
    pub cost: f64,
}

impl Doubtful {
    /// The next cut with its expected cost; `None` when it is sure enough or no load that tells
    /// anything can be put.
    #[must_use]
    pub fn next(&self, belief: &[f64], rigger_there: bool) -> Option<usize> {
        self.choose(belief, rigger_there, LOOK_AHEAD).map(|c| c.cut)
    }

    /// The choice by looking `depth` tests ahead; 0 looks at price per bit alone.
    #[must_use]
    pub fn choose(&self, belief: &[f64], rigger_there: bool, depth: usize) -> Option<Choice> {
        if self.is_sure(belief) {
            return None;
        }
        if depth == 0 {
            let cut = self.cheapest_bit(belief, rigger_there)?;
            let cost = self.carried(belief, rigger_there, 1.0, CARRIED_TESTS);
            return Some(Choice { cut, cost });
        }
        (self.telling(belief))
            .filter_map(|cut| {
                let (price, then) = self.cuts.price(cut, rigger_there)?;
                let later = self.both(belief, cut, |after, _| {
                    let chosen = self.choose(after, then, depth - 1);
                    chosen.map_or(0.0, |c| c.cost)
                });
                Some(Choice {
                    cut,
                    cost: price + later,
                })
            })
            .reduce(|a, b| if b.cost < a.cost { b } else { a })
    }

    /// Expected cost of the rule of least price per bit from here to its end. Branches that are
    /// hardly ever reached are priced by what they still have to learn.
    fn carried(&self, belief: &[f64], rigger_there: bool, reach: f64, tests: usize) -> f64 {
        if self.is_sure(belief) {
            return 0.0;
        }
        let Some(cut) = self.cheapest_bit(belief, rigger_there) else {
            return 0.0;
        };
        let Some((price, then)) = self.cuts.price(cut, rigger_there) else {
            return 0.0;
        };
        if tests == 0 || reach < CARRIED_REACH {
            let bits = self.bits(belief, cut);
            return price * (self.doubt(belief) / bits).max(1.0);
        }
        let later = self.both(belief, cut, |after, chance| {
            self.carried(after, then, reach * chance, tests - 1)
        });
        price + later
    }

    /// Mean of `of` over both outcomes of a test; `of` gets the belief after it and its chance.
    fn both(&self, belief: &[f64], cut: usize, of: impl Fn(&[f64], f64) -> f64) -> f64 {
        let side = |stays: bool| {
            let (after, chance) = self.after(belief, cut, stays);
            if chance > 0.0 {
                chance * of(&after, chance)
            } else {
                0.0
            }
        };
        side(true) + side(false)
    }

    fn is_sure(&self, belief: &[f64]) -> bool {
        foremost(belief, &self.cuts).is_none_or(|f| f.belief >= self.sure_enough)
    }
}
