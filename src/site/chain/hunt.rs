//! A station to its plan.

use super::belief::{Contradiction, contradictions, posterior, prior};
use super::doubtful::{Doubtful, Suspect, foremost, suspects};
use super::looks;
use super::plan::Plan;
use super::price::Cuts;
use super::rules::{Rule, expected_cost};
use super::station::{Station, Trust};
use super::tree::{Expected, Tree};
use crate::tuning::site::{CONFIDENCE, LOOK_AHEAD};

/// Where the search stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Standing {
    /// Put the load on the outer end of this section next.
    TestNext {
        /// The section before the load.
        cut: usize,
        /// Chance that the desense stays.
        chance_stays: f64,
    },
    /// Sure enough: look at these sections.
    Found(Suspect),
    /// No load can part what is left: look at these sections.
    CannotPart(Suspect),
}

/// When to call the rigger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rigger {
    /// No test needs one.
    NeverNeeded,
    /// Not before the cheaper tests are done; the chance that it comes to it.
    NotYet {
        /// Chance.
        chance: f64,
    },
    /// The next test needs one, and no cheaper one would tell enough to save the call.
    Now,
}

/// Expected cost of the plan and of rules of thumb, on one scale, tests telling the truth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    /// The plan of least expected cost.
    pub plan: f64,
    /// Nearest load point first.
    pub nearest_first: f64,
    /// The middle one first.
    pub halving: f64,
    /// Any order.
    pub at_random: f64,
}

/// The whole plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Hunt {
    /// The station.
    pub station: Station,
    /// Belief in each section before any result.
    pub prior: Vec<f64>,
    /// Belief in each section now.
    pub belief: Vec<f64>,
    /// Sections that no load can part, with their belief.
    pub suspects: Vec<Suspect>,
    /// Results that contradict each other.
    pub contradictions: Vec<Contradiction>,
    /// How far tests were trusted: as stated, or less where results contradict each other.
    pub trust: Trust,
    /// Where the search stands.
    pub standing: Standing,
    /// What to do, and then.
    pub tree: Tree,
    /// What that will take on average.
    pub expected: Expected,
    /// What the whole search costs on average where tests can lie, by looking ahead to its end;
    /// `None` where they are trusted, or nothing is left to test.
    pub cost_to_the_end: Option<f64>,
    /// Whether the tree was cut short, so that `expected` is a lower bound.
    pub open_ended: bool,
    /// When to call the rigger.
    pub rigger: Rigger,
    /// The plan against rules of thumb; `None` where tests are not trusted.
    pub comparison: Option<Comparison>,
    /// Looks without desense before a section may be called clean, where faults can hide.
    pub looks_needed: Option<u32>,
}

/// Plans the search.
#[must_use]
pub fn hunt(station: &Station) -> Hunt {
    let contradictions = contradictions(&station.results);
    let stated = station.trust;
    let trust = match posterior(station, stated) {
        Some(_) if contradictions.is_empty() || stated != Trust::FULL => stated,
        _ => Trust::DOUBTFUL,
    };
    // Under doubt no result is impossible.
    let belief = posterior(station, trust).unwrap_or_else(|| prior(station));
    let cuts = Cuts::of(station);
    let exact = trust == Trust::FULL;
    let tree = if exact {
        exact_tree(&belief, &cuts)
    } else {
        doubt(station, trust).tree(&belief)
    };
    let expected = tree.expected(station);
    Hunt {
        prior: prior(station),
        suspects: suspects(&belief, &cuts),
        standing: standing(station, &tree, &belief, &cuts, trust),
        rigger: rigger(station, &tree, expected),
        comparison: exact.then(|| compare(&belief, &cuts)),
        looks_needed: (trust.shows < 1.0)
            .then(|| looks::needed(trust.shows, CONFIDENCE))
            .flatten(),
        open_ended: is_open(&tree),
        cost_to_the_end: (!exact)
            .then(|| doubt(station, trust).choose(&belief, false, LOOK_AHEAD))
            .flatten()
            .map(|choice| choice.cost),
        station: station.clone(),
        belief,
        contradictions,
        trust,
        tree,
        expected,
    }
}

fn doubt(station: &Station, trust: Trust) -> Doubtful {
    Doubtful {
        cuts: Cuts::of(station),
        trust,
        looks: station.looks,
        sure_enough: station.sure_enough,
    }
}

/// The sections that are still possible, first and last, with their cuts.
fn possible(belief: &[f64], cuts: &Cuts) -> (usize, usize, Cuts) {
    let first = belief.iter().position(|b| *b > 0.0).unwrap_or(0);
    let last = belief
        .iter()
        .rposition(|b| *b > 0.0)
        .unwrap_or(belief.len() - 1);
    let prices = cuts.prices[first..last].to_vec();
    (
        first,
        last,
        Cuts {
            prices,
            rigger_call: cuts.rigger_call,
        },
    )
}

/// The exact tree over the sections that are still possible.
fn exact_tree(belief: &[f64], cuts: &Cuts) -> Tree {
    let (first, last, inner) = possible(belief, cuts);
    shifted(
        Plan::solve(&belief[first..=last], &inner).tree(&inner),
        first,
    )
}

fn compare(belief: &[f64], cuts: &Cuts) -> Comparison {
    let (first, last, inner) = possible(belief, cuts);
    let belief = &belief[first..=last];
    let by = |rule: Rule| expected_cost(belief, &inner, rule);
    Comparison {
        plan: Plan::solve(belief, &inner).expected_cost(),
        nearest_first: by(Rule::NearestFirst),
        halving: by(Rule::Halving),
        at_random: by(Rule::AtRandom),
    }
}

/// The same tree with section numbers of the whole chain.
fn shifted(tree: Tree, by: usize) -> Tree {
    match tree {
        Tree::Test {
            cut,
            reach,
            stays,
            gone,
        } => Tree::Test {
            cut: cut + by,
            reach,
            stays: Box::new(shifted(*stays, by)),
            gone: Box::new(shifted(*gone, by)),
        },
        Tree::Found {
            first,
            last,
            belief,
            reach,
        } => Tree::Found {
            first: first + by,
            last: last + by,
            belief,
            reach,
        },
        Tree::Open { reach } => Tree::Open { reach },
    }
}

fn standing(station: &Station, tree: &Tree, belief: &[f64], cuts: &Cuts, trust: Trust) -> Standing {
    match tree {
        Tree::Test { cut, .. } => {
            let before: f64 = belief[..=*cut].iter().sum();
            let (there, not) = (
                trust.stays_before(station.looks),
                trust.stays_beyond(station.looks),
            );
            Standing::TestNext {
                cut: *cut,
                chance_stays: before * there + (1.0 - before) * not,
            }
        }
        Tree::Found { first, last, .. } => {
            let belief = belief[*first..=*last].iter().sum();
            let suspect = Suspect {
                first: *first,
                last: *last,
                belief,
            };
            if first == last {
                Standing::Found(suspect)
            } else {
                Standing::CannotPart(suspect)
            }
        }
        Tree::Open { .. } => {
            let all = Suspect {
                first: 0,
                last: belief.len() - 1,
                belief: 1.0,
            };
            Standing::CannotPart(foremost(belief, cuts).unwrap_or(all))
        }
    }
}

fn rigger(station: &Station, tree: &Tree, expected: Expected) -> Rigger {
    let needs = |cut: usize| station.sections[cut].test.is_some_and(|test| test.rigger);
    let any_rigger = (0..station.sections.len()).any(needs);
    match tree {
        Tree::Test { cut, .. } if needs(*cut) => Rigger::Now,
        // Beyond the end of an open plan the tower may wait.
        _ if expected.rigger > 0.0 || is_open(tree) && any_rigger => Rigger::NotYet {
            chance: expected.rigger,
        },
        _ => Rigger::NeverNeeded,
    }
}

fn is_open(tree: &Tree) -> bool {
    match tree {
        Tree::Test { stays, gone, .. } => is_open(stays) || is_open(gone),
        Tree::Open { reach } => *reach > 0.0,
        Tree::Found { .. } => false,
    }
}
