//! The decision tree of least expected cost, tests telling the truth: dynamic programming over
//! intervals, `C(i,j) = min_k c_k P(i..j) + C(i,k) + C(k+1,j)`, with the rigger's call paid once.
//!
//! All cuts are tried: prices of their own break the usual short cut of Knuth (1971), and they
//! break "halve it" as well.

use super::price::Cuts;
use super::tree::Tree;

/// The solved table.
#[derive(Debug, Clone)]
pub struct Plan {
    sections: usize,
    /// By interval and whether the rigger is there: cost times probability, and the best cut.
    cells: Vec<(f64, Option<usize>)>,
    prefix: Vec<f64>,
}

impl Plan {
    /// Solves for a belief over sections (it need not sum to 1); there must be one cut fewer than
    /// sections, and at least one section.
    #[must_use]
    pub fn solve(belief: &[f64], cuts: &Cuts) -> Self {
        let n = belief.len();
        let mut prefix = vec![0.0];
        for share in belief {
            prefix.push(prefix[prefix.len() - 1] + share);
        }
        let mut plan = Self {
            sections: n,
            cells: vec![(0.0, None); n * n * 2],
            prefix,
        };
        for length in 2..=n {
            for first in 0..=n - length {
                let last = first + length - 1;
                for called in [true, false] {
                    let cell = plan.best(first, last, called, cuts);
                    let at = plan.at(first, last, called);
                    plan.cells[at] = cell;
                }
            }
        }
        plan
    }

    fn at(&self, first: usize, last: usize, called: bool) -> usize {
        (first * self.sections + last) * 2 + usize::from(called)
    }

    fn mass(&self, first: usize, last: usize) -> f64 {
        self.prefix[last + 1] - self.prefix[first]
    }

    fn best(&self, first: usize, last: usize, called: bool, cuts: &Cuts) -> (f64, Option<usize>) {
        let mass = self.mass(first, last);
        let mut best = (f64::INFINITY, None);
        for cut in first..last {
            let Some((price, then)) = cuts.price(cut, called) else {
                continue;
            };
            let cost = price * mass
                + self.cells[self.at(first, cut, then)].0
                + self.cells[self.at(cut + 1, last, then)].0;
            if cost < best.0 {
                best = (cost, Some(cut));
            }
        }
        // Where no load can be put in between, there is nothing to pay.
        if best.1.is_some() { best } else { (0.0, None) }
    }

    /// Expected cost to part the sections as far as loads can be put, rigger not there yet.
    #[must_use]
    pub fn expected_cost(&self) -> f64 {
        let mass = self.mass(0, self.sections - 1);
        let whole = self.cells[self.at(0, self.sections - 1, false)].0;
        if mass > 0.0 { whole / mass } else { 0.0 }
    }

    /// The tree.
    #[must_use]
    pub fn tree(&self, cuts: &Cuts) -> Tree {
        let total = self.mass(0, self.sections - 1);
        self.branch(
            0,
            self.sections - 1,
            false,
            cuts,
            if total > 0.0 { total } else { 1.0 },
        )
    }

    fn branch(&self, first: usize, last: usize, called: bool, cuts: &Cuts, total: f64) -> Tree {
        let reach = self.mass(first, last) / total;
        let cut = self.cells[self.at(first, last, called)].1;
        let step = cut.and_then(|cut| Some((cut, cuts.price(cut, called)?.1)));
        match step {
            Some((cut, then)) => Tree::Test {
                cut,
                reach,
                stays: Box::new(self.branch(first, cut, then, cuts, total)),
                gone: Box::new(self.branch(cut + 1, last, then, cuts, total)),
            },
            None => Tree::Found {
                first,
                last,
                belief: 1.0,
                reach,
            },
        }
    }
}
