//! Tests that can lie: a belief is kept, and the next test is the one that takes away the most
//! doubt for its price, looking one test ahead.
//!
//! The exact plan's cost is no guide here: it trusts every later test, so that a cheap test which
//! tells nothing looks as good as any, for ever. Looking eight tests ahead gained nothing that
//! could be told from chance over price per bit (400 simulated sites each).

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
    /// The next cut; `None` when it is sure enough or no load that tells anything can be put.
    #[must_use]
    pub fn next(&self, belief: &[f64], rigger_there: bool) -> Option<usize> {
        if foremost(belief, &self.cuts)?.belief >= self.sure_enough {
            return None;
        }
        let per_bit = |cut: usize| -> Option<f64> {
            let (price, _) = self.cuts.price(cut, rigger_there)?;
            let bits = self.bits(belief, cut);
            // A free test is no better than a nearly free one: what it tells must count as well.
            (bits > LEAST_BITS).then(|| price.max(LEAST_PRICE) / bits)
        };
        (0..self.cuts.prices.len())
            .filter_map(|cut| Some((cut, per_bit(cut)?)))
            .reduce(|a, b| if b.1 < a.1 { b } else { a })
            .map(|(cut, _)| cut)
    }

    /// What a test tells about the fault, in bits: its outcome's entropy less the part that is
    /// mere error.
    fn bits(&self, belief: &[f64], cut: usize) -> f64 {
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
    fn after(&self, belief: &[f64], cut: usize, stays: bool) -> (Vec<f64>, f64) {
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
