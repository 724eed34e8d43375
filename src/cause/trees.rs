//! Boosted trees: for each cause, small trees whose leaves add to the log of its chance, each fitted
//! to what the ones before it left wrong. Unlike single tables they know what two measurements mean
//! together (equal gaps with equal tails, and equal gaps without any).
//!
//! J. H. Friedman, Greedy function approximation, Annals of Statistics 29 (2001), 1189-1232, algorithm
//! 6 with second-order leaves (from memory).

use super::evidence::EvidenceKind;
use super::verdict::Cause;
use crate::tuning::cause::{
    LEAF_CASES_MIN, LEAF_RIDGE, LEAVES, PRIORS, TREE_CUTS, TREE_KINDS_SHARE, TREE_RATE, TREE_ROUNDS,
};
use rand::SeedableRng;
use rand::seq::index::sample;
use rand_chacha::ChaCha8Rng;
use serde::{Deserialize, Serialize};

/// Number of causes.
pub const CAUSES: usize = Cause::ALL.len();
/// Number of kinds of evidence.
pub const KINDS: usize = EvidenceKind::ALL.len();

/// A case's values, as far as they could be measured.
type Values = [Option<f64>; KINDS];

/// One place in a tree: what it adds if one stops here, and where to go on.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
struct Node(f64, Option<Fork>);

/// Kind of evidence, the value below which it goes to the first child, whether what cannot be measured
/// goes there too, and the position of the first of two children that stand side by side.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
struct Fork(usize, f64, bool, usize);

impl Fork {
    fn next(&self, value: Option<f64>) -> usize {
        let first = value.map_or(self.2, |v| v < self.1);
        self.3 + usize::from(!first)
    }
}

/// A tree; its root is the first node.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Tree(Vec<Node>);

impl Tree {
    /// Hands each step's kind and what it adds to `add`; begins with the root's own value, of no kind.
    fn walk(&self, values: &Values, mut add: impl FnMut(Option<usize>, f64)) {
        let mut at = self.0[0];
        add(None, at.0);
        while let Some(fork) = at.1 {
            let next = self.0[fork.next(values[fork.0])];
            add(Some(fork.0), next.0 - at.0);
            at = next;
        }
    }
}

/// Trees for each cause.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Trees {
    /// For each round, a tree for each cause.
    rounds: Vec<Vec<Tree>>,
}

/// What adds to the log of each cause's chance: what comes before any evidence, and each kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Sums {
    /// Prior, and what the trees' roots say.
    pub base: [f64; CAUSES],
    /// Each kind's share.
    pub kinds: [[f64; CAUSES]; KINDS],
}

impl Sums {
    /// The logs themselves, up to what all have in common.
    #[must_use]
    pub fn logs(&self) -> [f64; CAUSES] {
        self.logs_at(1.0)
    }

    /// The same with this part of what each kind adds.
    #[must_use]
    pub fn logs_at(&self, part: f64) -> [f64; CAUSES] {
        let mut logs = self.base;
        for row in &self.kinds {
            for (sum, x) in logs.iter_mut().zip(row) {
                *sum += part * x;
            }
        }
        logs
    }
}

impl Trees {
    /// What each kind adds for each cause: along the way through each tree, the step that asks for the
    /// kind gets the difference that it makes.
    #[must_use]
    pub fn sums(&self, values: &Values) -> Sums {
        let mut sums = Sums {
            base: PRIORS.map(f64::ln),
            kinds: [[0.0; CAUSES]; KINDS],
        };
        for (cause, tree) in self
            .rounds
            .iter()
            .flat_map(|round| round.iter().enumerate())
        {
            tree.walk(values, |kind, by| match kind {
                Some(kind) => sums.kinds[kind][cause] += by,
                None => sums.base[cause] += by,
            });
        }
        sums
    }
}

/// Chances from their logs.
#[must_use]
pub fn softmax(log: &[f64; CAUSES]) -> [f64; CAUSES] {
    let top = log.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let raw = log.map(|l| (l - top).exp());
    let sum: f64 = raw.iter().sum();
    raw.map(|r| r / sum)
}

/// Fits trees to cases of known cause; each cause together is as heavy as its prior.
#[must_use]
pub fn fit(cases: &[(Cause, Values)]) -> Trees {
    let mut totals = [0.0f64; CAUSES];
    cases.iter().for_each(|(c, _)| totals[c.index()] += 1.0);
    let share = |c: &Cause| PRIORS[c.index()] / totals[c.index()] * cases.len() as f64;
    let weights: Vec<f64> = cases.iter().map(|(c, _)| share(c)).collect();
    let grid = Grid::of(cases);
    let mut logs = vec![PRIORS.map(f64::ln); cases.len()];
    // The same kinds are left out in the same trees at every fitting.
    let mut chance = ChaCha8Rng::seed_from_u64(1);
    let mut rounds = Vec::new();
    for _ in 0..if cases.is_empty() { 0 } else { TREE_ROUNDS } {
        let chances: Vec<[f64; CAUSES]> = logs.iter().map(softmax).collect();
        let mut round = Vec::with_capacity(CAUSES);
        for cause in 0..CAUSES {
            let slopes: Vec<Slope> = (chances.iter().zip(cases).zip(&weights))
                .map(|((p, (own, _)), w)| {
                    let happened = f64::from(u8::from(own.index() == cause));
                    let p = p[cause];
                    Slope(w * (happened - p), (w * p * (1.0 - p)).max(1e-9))
                })
                .collect();
            let count = (TREE_KINDS_SHARE * KINDS as f64).ceil() as usize;
            let mut chosen = sample(&mut chance, KINDS, count).into_vec();
            chosen.sort_unstable();
            let tree = grow(&grid, &slopes, &chosen);
            for ((_, values), log) in cases.iter().zip(&mut logs) {
                tree.walk(values, |_, by| log[cause] += by);
            }
            round.push(tree);
        }
        rounds.push(round);
    }
    Trees { rounds }
}

/// First and second derivative of one case's gain.
#[derive(Debug, Clone, Copy, Default)]
struct Slope(f64, f64);

/// Sums of slopes, and of how many cases.
#[derive(Debug, Clone, Copy, Default)]
struct Pile {
    slope: f64,
    bend: f64,
    cases: usize,
}

impl Pile {
    fn add(&mut self, by: Slope) {
        self.slope += by.0;
        self.bend += by.1;
        self.cases += 1;
    }
    fn and(self, other: Self) -> Self {
        Self {
            slope: self.slope + other.slope,
            bend: self.bend + other.bend,
            cases: self.cases + other.cases,
        }
    }
    fn without(self, other: Self) -> Self {
        Self {
            slope: self.slope - other.slope,
            bend: self.bend - other.bend,
            cases: self.cases - other.cases,
        }
    }
    /// What a leaf here adds.
    fn value(self) -> f64 {
        TREE_RATE * self.slope / (self.bend + LEAF_RIDGE)
    }
    fn gain(self) -> f64 {
        self.slope * self.slope / (self.bend + LEAF_RIDGE)
    }
}

/// Every case's values as positions between the places at which trees may fork.
struct Grid {
    /// For each kind.
    cuts: Vec<Vec<f64>>,
    /// For each kind, each case: how many cuts lie at or below its value; `u8::MAX` where it could not be
    /// measured.
    places: Vec<Vec<u8>>,
}

impl Grid {
    fn of(cases: &[(Cause, Values)]) -> Self {
        let mut cuts = Vec::with_capacity(KINDS);
        let mut places = Vec::with_capacity(KINDS);
        for kind in 0..KINDS {
            let mut known: Vec<f64> = cases.iter().filter_map(|(_, v)| v[kind]).collect();
            known.sort_by(f64::total_cmp);
            let mut own: Vec<f64> = (1..=TREE_CUTS)
                .filter_map(|i| known.get(i * known.len() / (TREE_CUTS + 1)).copied())
                .collect();
            own.dedup();
            places.push(
                cases
                    .iter()
                    .map(|(_, v)| {
                        v[kind].map_or(u8::MAX, |v| own.partition_point(|cut| *cut <= v) as u8)
                    })
                    .collect(),
            );
            cuts.push(own);
        }
        Self { cuts, places }
    }

    /// The best fork of these cases by one kind: gain, cut, whether the unmeasured go first.
    fn fork(&self, kind: usize, cases: &[usize], slopes: &[Slope]) -> Option<(f64, usize, bool)> {
        let cuts = self.cuts[kind].len();
        let mut piles = [Pile::default(); TREE_CUTS + 1];
        let (mut whole, mut unknown) = (Pile::default(), Pile::default());
        for &case in cases {
            let place = self.places[kind][case];
            whole.add(slopes[case]);
            match place {
                u8::MAX => unknown.add(slopes[case]),
                place => piles[usize::from(place)].add(slopes[case]),
            }
        }
        let mut best: Option<(f64, usize, bool)> = None;
        let mut below = Pile::default();
        for (cut, pile) in piles.iter().enumerate().take(cuts) {
            below = below.and(*pile);
            for unknown_first in [false, true] {
                let first = if unknown_first {
                    below.and(unknown)
                } else {
                    below
                };
                let second = whole.without(first);
                if first.cases < LEAF_CASES_MIN || second.cases < LEAF_CASES_MIN {
                    continue;
                }
                let gain = first.gain() + second.gain() - whole.gain();
                if gain > best.map_or(1e-9, |b| b.0) {
                    best = Some((gain, cut, unknown_first));
                }
            }
        }
        best
    }
}

/// A leaf that could fork.
struct Open {
    node: usize,
    cases: Vec<usize>,
    gain: f64,
    kind: usize,
    cut: usize,
    unknown_first: bool,
}

/// Grows one tree, the fork that gains most first.
fn grow(grid: &Grid, slopes: &[Slope], kinds: &[usize]) -> Tree {
    let value = |cases: &[usize]| {
        let mut pile = Pile::default();
        cases.iter().for_each(|case| pile.add(slopes[*case]));
        pile.value()
    };
    let open = |node: usize, cases: Vec<usize>| {
        let forks = kinds.iter().filter_map(|kind| {
            let (gain, cut, unknown_first) = grid.fork(*kind, &cases, slopes)?;
            Some((gain, *kind, cut, unknown_first))
        });
        // The first of equals.
        let (gain, kind, cut, unknown_first) =
            forks.reduce(|best, other| if other.0 > best.0 { other } else { best })?;
        Some(Open {
            node,
            cases,
            gain,
            kind,
            cut,
            unknown_first,
        })
    };
    let all: Vec<usize> = (0..slopes.len()).collect();
    let mut nodes = vec![Node(value(&all), None)];
    let mut leaves: Vec<Open> = open(0, all).into_iter().collect();
    for _ in 1..LEAVES {
        let best = (0..leaves.len()).reduce(|a, b| {
            if leaves[b].gain > leaves[a].gain {
                b
            } else {
                a
            }
        });
        let Some(leaf) = best.map(|at| leaves.swap_remove(at)) else {
            break;
        };
        let (first, second): (Vec<usize>, Vec<usize>) =
            leaf.cases
                .iter()
                .partition(|case| match grid.places[leaf.kind][**case] {
                    u8::MAX => leaf.unknown_first,
                    place => usize::from(place) <= leaf.cut,
                });
        let child = nodes.len();
        nodes[leaf.node].1 = Some(Fork(
            leaf.kind,
            grid.cuts[leaf.kind][leaf.cut],
            leaf.unknown_first,
            child,
        ));
        nodes.push(Node(value(&first), None));
        nodes.push(Node(value(&second), None));
        leaves.extend(open(child, first));
        leaves.extend(open(child + 1, second));
    }
    // What the file keeps is what is judged by.
    nodes
        .iter_mut()
        .for_each(|node| node.0 = (node.0 * 1e6).round() / 1e6);
    Tree(nodes)
}
