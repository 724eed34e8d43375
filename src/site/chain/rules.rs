//! Rules of thumb, priced exactly for comparison: what they would cost on average with tests that
//! tell the truth.

use super::price::Cuts;

/// A rule that picks the next cut from the sections still suspected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// The nearest load point first, then outwards.
    NearestFirst,
    /// The load point in the middle of those left.
    Halving,
    /// Any load point left, each as likely.
    AtRandom,
}

/// Expected cost of a rule, rigger not there yet.
#[must_use]
pub fn expected_cost(belief: &[f64], cuts: &Cuts, rule: Rule) -> f64 {
    let mut prefix = vec![0.0];
    for share in belief {
        prefix.push(prefix[prefix.len() - 1] + share);
    }
    let total = prefix[belief.len()];
    if total <= 0.0 {
        return 0.0;
    }
    let mut walk = Walk {
        prefix,
        cuts,
        rule,
        memo: vec![None; belief.len() * belief.len() * 2],
    };
    walk.cost(0, belief.len() - 1, false) / total
}

struct Walk<'a> {
    prefix: Vec<f64>,
    cuts: &'a Cuts,
    rule: Rule,
    memo: Vec<Option<f64>>,
}

impl Walk<'_> {
    /// Cost times probability.
    fn cost(&mut self, first: usize, last: usize, called: bool) -> f64 {
        let n = self.prefix.len() - 1;
        let at = (first * n + last) * 2 + usize::from(called);
        if let Some(known) = self.memo[at] {
            return known;
        }
        let open: Vec<usize> = (first..last)
            .filter(|cut| self.cuts.prices[*cut].is_some())
            .collect();
        let cost = match (self.rule, open.as_slice()) {
            (_, []) => 0.0,
            (Rule::NearestFirst, [nearest, ..]) => self.step(first, last, *nearest, called),
            (Rule::Halving, _) => self.step(first, last, open[(open.len() - 1) / 2], called),
            (Rule::AtRandom, _) => {
                let sum: f64 = open
                    .iter()
                    .map(|cut| self.step(first, last, *cut, called))
                    .sum();
                sum / open.len() as f64
            }
        };
        self.memo[at] = Some(cost);
        cost
    }

    fn step(&mut self, first: usize, last: usize, cut: usize, called: bool) -> f64 {
        let Some((price, then)) = self.cuts.price(cut, called) else {
            return 0.0;
        };
        let mass = self.prefix[last + 1] - self.prefix[first];
        price * mass + self.cost(first, cut, then) + self.cost(cut + 1, last, then)
    }
}
