//! Tests that can lie: a belief is kept, and what each test would tell is weighed against its
//! price. How far ahead that is looked is in `ahead.rs`.
//!
//! The exact plan's cost is no guide here: it trusts every later test, so that a cheap test which
//! tells nothing looks as good as any, for ever.

use super::belief::update;
use super::price::Cuts;
use super::station::{TestResult, Trust};
use super::tree::Tree;

/// What the look-ahead needs to know.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubtful {
    /// Prices.
    pub cuts: Cuts,
    /// How far a test can be trusted.
    pub trust: Trust,
    /// Looks at each test.
    pub looks: u32,
    /// Belief above which the search stops.
    pub sure_enough: f64,
}

/// Sections that no load can part, with the belief in them together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suspect {
    /// First section.
    pub first: usize,
    /// Last section.
    pub last: usize,
    /// Belief.
    pub belief: f64,
}

/// Levels of tests to which a plan is drawn.
const DEPTH: usize = 3;
/// Branches less likely than this are drawn no further.
const RARE: f64 = 0.03;

/// Groups of sections that no load can part, in order.
#[must_use]
pub fn suspects(belief: &[f64], cuts: &Cuts) -> Vec<Suspect> {
    let mut list: Vec<Suspect> = Vec::new();
    for (i, share) in belief.iter().enumerate() {
        let joined = i > 0 && cuts.prices[i - 1].is_none();
        match list.last_mut() {
            Some(last) if joined => {
                last.last = i;
                last.belief += share;
            }
            _ => list.push(Suspect {
                first: i,
                last: i,
                belief: *share,
            }),
        }
    }
    list
}

/// The most suspected group; the first of equals.
#[must_use]
pub fn foremost(belief: &[f64], cuts: &Cuts) -> Option<Suspect> {
    suspects(belief, cuts)
        .into_iter()
        .reduce(|a, b| if b.belief > a.belief { b } else { a })
}

/// A test that tells less than this tells nothing.
const LEAST_BITS: f64 = 1e-9;

/// Prices below this count as this.
const LEAST_PRICE: f64 = 1e-6;

/// `-p log2 p`, 0 at 0.
fn bits_of(p: f64) -> f64 {
    if p > 0.0 { -p * p.log2() } else { 0.0 }
}

impl Doubtful {
    /// Cuts whose test tells anything.
    pub(super) fn telling(&self, belief: &[f64]) -> impl Iterator<Item = usize> {
        (0..self.cuts.prices.len())
            .filter(|cut| self.cuts.prices[*cut].is_some() && self.bits(belief, *cut) > LEAST_BITS)
    }

    /// The cut of least price per bit; `None` where none tells anything.
    #[must_use]
    pub fn cheapest_bit(&self, belief: &[f64], rigger_there: bool) -> Option<usize> {
        let per_bit = |cut: usize| -> Option<f64> {
            let (price, _) = self.cuts.price(cut, rigger_there)?;
            // A free test is no better than a nearly free one: what it tells must count as well.
            Some(price.max(LEAST_PRICE) / self.bits(belief, cut))
        };
        (self.telling(belief))
            .filter_map(|cut| Some((cut, per_bit(cut)?)))
            .reduce(|a, b| if b.1 < a.1 { b } else { a })
            .map(|(cut, _)| cut)
    }

    /// What is still unknown of the suspects, in bits.
    pub(super) fn doubt(&self, belief: &[f64]) -> f64 {
        let list = suspects(belief, &self.cuts);
        list.iter().map(|s| bits_of(s.belief)).sum()
    }

    /// What a test tells about the fault, in bits: its outcome's entropy less the part that is
    /// mere error.
    pub(super) fn bits(&self, belief: &[f64], cut: usize) -> f64 {
        let before: f64 = belief[..=cut].iter().sum();
        let (there, not) = (
            self.trust.stays_before(self.looks),
            self.trust.stays_beyond(self.looks),
        );
        let coin = |p: f64| bits_of(p) + bits_of(1.0 - p);
        let stays = before * there + (1.0 - before) * not;
        coin(stays) - before * coin(there) - (1.0 - before) * coin(not)
    }

    /// Belief after a test and the chance of its outcome.
    pub(super) fn after(&self, belief: &[f64], cut: usize, stays: bool) -> (Vec<f64>, f64) {
        let (after, evidence) = update(belief, &self.result(cut, stays), self.trust);
        let scale = if evidence > 0.0 { evidence } else { 1.0 };
        (after.iter().map(|b| b / scale).collect(), evidence)
    }

    fn result(&self, after: usize, stays: bool) -> TestResult {
        TestResult {
            after,
            stays,
            looks: self.looks,
            date: None,
        }
    }

    /// The plan by looking ahead step by step, drawn to a limited depth.
    #[must_use]
    pub fn tree(&self, belief: &[f64]) -> Tree {
        self.branch(belief, 1.0, false, DEPTH)
    }

    fn branch(&self, belief: &[f64], reach: f64, called: bool, depth: usize) -> Tree {
        let found = foremost(belief, &self.cuts).unwrap_or(Suspect {
            first: 0,
            last: belief.len().saturating_sub(1),
            belief: 1.0,
        });
        let Some(cut) = self.next(belief, called) else {
            return Tree::Found {
                first: found.first,
                last: found.last,
                belief: found.belief,
                reach,
            };
        };
        if depth == 0 || reach < RARE {
            return Tree::Open { reach };
        }
        let then = self.cuts.price(cut, called).is_some_and(|(_, then)| then);
        let side = |stays: bool| {
            let (after, evidence) = self.after(belief, cut, stays);
            if evidence <= 0.0 {
                return Box::new(Tree::Open { reach: 0.0 });
            }
            Box::new(self.branch(&after, reach * evidence, then, depth - 1))
        };
        Tree::Test {
            cut,
            reach,
            stays: side(true),
            gone: side(false),
        }
    }
}
