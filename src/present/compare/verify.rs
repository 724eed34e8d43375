//! A verification for people and as `tailbeat.verify/1`.

use crate::compare::verification::{Looked, Rerun, State, Verification};
use crate::present::site::leaf::{Leaf, Part};
use crate::present::wording::compare::verification as words;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// The name of this format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Format {
    /// Version 1.
    #[serde(rename = "tailbeat.verify/1")]
    V1,
}

/// Whether a saved comparison still holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "tailbeat.verify/1")]
pub struct VerifyJson {
    /// Name and version of the format.
    pub schema: Format,
    /// The saved result.
    pub result: String,
    /// All evidence is there unchanged, and the comparison comes out as saved.
    pub holds: bool,
    /// The evidence.
    pub exhibits: Vec<LookedJson>,
    /// Recordings behind saved reports; they need not be there.
    pub behind: Vec<LookedJson>,
    /// Page and pictures beside the result.
    pub pages: Vec<LookedJson>,
    /// The comparison made once more.
    pub rerun: RerunJson,
}

/// One file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LookedJson {
    /// Name.
    pub file: String,
    /// `same`, `changed`, `missing`.
    pub state: String,
    /// Where it was found.
    pub at: Option<String>,
}

/// The comparison made once more.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct RerunJson {
    /// `agrees`, `differs`, `failed`, `not_done`.
    pub state: String,
    /// Version that made the saved one.
    pub saved_by: Option<String>,
    /// Version that made it once more.
    pub version: Option<String>,
    /// Fields that differ, or why it failed.
    pub differences: Vec<String>,
}

impl From<&Verification> for VerifyJson {
    fn from(of: &Verification) -> Self {
        let list = |list: &[Looked]| list.iter().map(looked).collect();
        Self {
            schema: Format::V1,
            result: of.result.clone(),
            holds: of.holds(),
            exhibits: list(&of.exhibits),
            behind: list(&of.behind),
            pages: list(&of.pages),
            rerun: rerun(&of.rerun),
        }
    }
}

fn looked(looked: &Looked) -> LookedJson {
    let (state, at) = match &looked.state {
        State::Same { at } => ("same", Some(at.clone())),
        State::Changed { at } => ("changed", Some(at.clone())),
        State::Missing => ("missing", None),
    };
    LookedJson {
        file: looked.file.clone(),
        state: state.into(),
        at,
    }
}

fn rerun(rerun: &Rerun) -> RerunJson {
    let bare = |state: &str, differences: Vec<String>| RerunJson {
        state: state.into(),
        saved_by: None,
        version: None,
        differences,
    };
    match rerun {
        Rerun::NotDone => bare("not_done", Vec::new()),
        Rerun::Failed { why } => bare("failed", vec![why.clone()]),
        Rerun::Done {
            saved_by,
            version,
            differences,
        } => RerunJson {
            state: if differences.is_empty() {
                "agrees".into()
            } else {
                "differs".into()
            },
            saved_by: Some(saved_by.clone()),
            version: Some(version.clone()),
            differences: differences.clone(),
        },
    }
}

/// The verification as a leaf.
#[must_use]
pub fn leaf(of: &Verification) -> Leaf {
    let mut parts = Vec::new();
    for (heading, list) in [
        (words::EXHIBITS, &of.exhibits),
        (words::BEHIND, &of.behind),
        (words::PAGES, &of.pages),
    ] {
        if !list.is_empty() {
            parts.push(Part::List(
                heading,
                list.iter().map(words::looked).collect(),
            ));
        }
    }
    parts.push(Part::Words(words::RERUN, words::rerun(&of.rerun)));
    if let Rerun::Done { differences, .. } = &of.rerun
        && !differences.is_empty()
    {
        parts.push(Part::List(words::DIFFERENCES, differences.clone()));
    }
    Leaf {
        kicker: words::KICKER,
        headline: words::headline(of).into(),
        paragraph: words::paragraph(of),
        cautions: Vec::new(),
        parts,
    }
}

/// Fields in which two results differ, as JSON pointers with both values. The version of the
/// program is no part of the result.
#[must_use]
pub fn differences(saved: &Value, again: &Value) -> Vec<String> {
    let mut list = Vec::new();
    walk("", saved, again, &mut list);
    list.retain(|line| !line.starts_with("/program_version:"));
    list
}

fn walk(path: &str, saved: &Value, again: &Value, list: &mut Vec<String>) {
    match (saved, again) {
        (Value::Object(a), Value::Object(b)) => {
            let names: std::collections::BTreeSet<&String> = a.keys().chain(b.keys()).collect();
            for name in names {
                let of = |map: &serde_json::Map<String, Value>| map.get(name).cloned();
                let (x, y) = (of(a).unwrap_or(Value::Null), of(b).unwrap_or(Value::Null));
                walk(&format!("{path}/{name}"), &x, &y, list);
            }
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            for (n, (x, y)) in a.iter().zip(b).enumerate() {
                walk(&format!("{path}/{n}"), x, y, list);
            }
        }
        _ if saved == again => {}
        (Value::Number(a), Value::Number(b)) if alike(a.as_f64(), b.as_f64()) => {}
        _ => list.push(format!(
            "{path}: {} saved, {} now",
            short(saved),
            short(again)
        )),
    }
}

/// Two numbers that differ by no more than another machine's arithmetic, or the reading of their
/// decimals, makes them.
fn alike(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= SAME_NUMBER * a.abs().max(b.abs()),
        _ => false,
    }
}

/// Relative difference of numbers that count as one.
const SAME_NUMBER: f64 = 1e-9;

fn short(value: &Value) -> String {
    let text = value.to_string();
    if text.chars().count() > 60 {
        text.chars().take(57).chain("...".chars()).collect()
    } else {
        text
    }
}
