//! `tailbeat.hunt/1`.

use crate::site::chain::hunt::{Hunt, Rigger, Standing};
use crate::site::chain::tree::Tree;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The name of this format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Format {
    /// Version 1.
    #[serde(rename = "tailbeat.hunt/1")]
    V1,
}

/// A fault search.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "tailbeat.hunt/1")]
pub struct HuntJson {
    /// Name and version of the format.
    pub schema: Format,
    /// Name of the station.
    pub station: Option<String>,
    /// Sections on one line: receive chain outwards, then transmit chain outwards.
    pub sections: Vec<SectionJson>,
    /// `test_next`, `found` or `cannot_part`.
    pub standing: String,
    /// Section on whose outer end the load goes next.
    pub load_after: Option<String>,
    /// Chance that the desense stays then.
    pub chance_stays: Option<f64>,
    /// What is most suspected, where the search has ended.
    pub culprit: Option<Vec<String>>,
    /// The plan.
    pub plan: NodeJson,
    /// What it will take on average.
    pub expected: ExpectedJson,
    /// `never_needed`, `not_yet` or `now`.
    pub rigger: String,
    /// The plan against rules of thumb, in expected cost; null where tests are not trusted.
    pub comparison: Option<ComparisonJson>,
    /// Pairs of results, by number from 0, that contradict each other: stayed, gone.
    pub contradictions: Vec<[usize; 2]>,
    /// Looks without desense before a section may be called clean.
    pub looks_needed: Option<u32>,
}

/// One section.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SectionJson {
    /// Name.
    pub name: String,
    /// Kind.
    pub kind: String,
    /// Belief before any result.
    pub prior: f64,
    /// Belief now.
    pub belief: f64,
}

/// A node of the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "do", rename_all = "snake_case")]
pub enum NodeJson {
    /// Put the load on.
    Test {
        /// Section on whose outer end.
        load_after: String,
        /// Probability to get here.
        reach: f64,
        /// If the desense stays.
        stays: Box<NodeJson>,
        /// If it is gone.
        gone: Box<NodeJson>,
    },
    /// It lies in these sections.
    Found {
        /// Their names.
        sections: Vec<String>,
        /// Belief.
        belief: f64,
        /// Probability to get here.
        reach: f64,
    },
    /// Plan again from here.
    PlanAgain {
        /// Probability to get here.
        reach: f64,
    },
}

/// Averages.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ExpectedJson {
    /// Money and time on one scale.
    pub cost: f64,
    /// Minutes.
    pub minutes: f64,
    /// Money.
    pub money: f64,
    /// Tests.
    pub tests: f64,
    /// Probability that the rigger is needed.
    pub rigger_probability: f64,
    /// Whether these are lower bounds.
    pub lower_bounds: bool,
    /// Cost of the whole search where tests can lie, by looking ahead to its end; else null.
    pub cost_to_the_end: Option<f64>,
}

/// Expected costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ComparisonJson {
    /// The plan.
    pub plan: f64,
    /// Nearest load point first.
    pub nearest_first: f64,
    /// The middle one first.
    pub halving: f64,
    /// Any order.
    pub at_random: f64,
}

impl From<&Hunt> for HuntJson {
    fn from(hunt: &Hunt) -> Self {
        let (standing, load_after, chance_stays, culprit) = match hunt.standing {
            Standing::TestNext { cut, chance_stays } => {
                ("test_next", Some(name(hunt, cut)), Some(chance_stays), None)
            }
            Standing::Found(s) => ("found", None, None, Some(names(hunt, s.first, s.last))),
            Standing::CannotPart(s) => (
                "cannot_part",
                None,
                None,
                Some(names(hunt, s.first, s.last)),
            ),
        };
        let section = |(i, s): (usize, &crate::site::chain::Section)| SectionJson {
            name: s.name.clone(),
            kind: s.kind.as_str().into(),
            prior: hunt.prior[i],
            belief: hunt.belief[i],
        };
        Self {
            schema: Format::V1,
            station: hunt.station.name.clone(),
            sections: hunt
                .station
                .sections
                .iter()
                .enumerate()
                .map(section)
                .collect(),
            standing: standing.into(),
            load_after,
            chance_stays,
            culprit,
            plan: node(hunt, &hunt.tree),
            expected: ExpectedJson {
                cost: hunt.expected.cost,
                minutes: hunt.expected.minutes,
                money: hunt.expected.money,
                tests: hunt.expected.tests,
                rigger_probability: hunt.expected.rigger,
                lower_bounds: hunt.open_ended,
                cost_to_the_end: hunt.cost_to_the_end,
            },
            rigger: match hunt.rigger {
                Rigger::NeverNeeded => "never_needed".into(),
                Rigger::NotYet { .. } => "not_yet".into(),
                Rigger::Now => "now".into(),
            },
            comparison: hunt.comparison.map(|c| ComparisonJson {
                plan: c.plan,
                nearest_first: c.nearest_first,
                halving: c.halving,
                at_random: c.at_random,
            }),
            contradictions: hunt
                .contradictions
                .iter()
                .map(|c| [c.stayed, c.gone])
                .collect(),
            looks_needed: hunt.looks_needed,
        }
    }
}

fn name(hunt: &Hunt, section: usize) -> String {
    hunt.station.sections[section].name.clone()
}

fn names(hunt: &Hunt, first: usize, last: usize) -> Vec<String> {
    (first..=last).map(|i| name(hunt, i)).collect()
}

fn node(hunt: &Hunt, tree: &Tree) -> NodeJson {
    match tree {
        Tree::Test {
            cut,
            reach,
            stays,
            gone,
        } => NodeJson::Test {
            load_after: name(hunt, *cut),
            reach: *reach,
            stays: Box::new(node(hunt, stays)),
            gone: Box::new(node(hunt, gone)),
        },
        Tree::Found {
            first,
            last,
            belief,
            reach,
        } => NodeJson::Found {
            sections: names(hunt, *first, *last),
            belief: *belief,
            reach: *reach,
        },
        Tree::Open { reach } => NodeJson::PlanAgain { reach: *reach },
    }
}
