//! The accuracy page: what was measured, as Markdown for people and as JSON for programs. Both
//! follow from the outcomes alone, so that the same outcomes give the same bytes.

mod numbers;
mod tables;

use super::corpus::Part;
use super::outcome::{Answer, Outcome, Standing};
use super::rules::{COLLAR_FAR, COLLAR_NEAR};
use super::scores::{Confusion, Scores, Share, confusion};
use crate::cause::verdict::{Cause, Label};
use crate::simulate::truth::Tier;
use serde::Serialize;
use std::collections::BTreeMap;

/// Everything that the page tells.
#[derive(Debug, Clone, Serialize)]
pub struct Page {
    schema: &'static str,
    part: Part,
    why: String,
    judged_by: Option<String>,
    command: String,
    version: String,
    recordings: usize,
    /// Recordings of the whole part.
    whole: usize,
    all: Scores,
    tiers: BTreeMap<Tier, Scores>,
    confusion: Confusion,
    scenes: BTreeMap<String, Group>,
    chains: BTreeMap<String, Group>,
    misses: Vec<Miss>,
}

/// A scene or a chain in one line.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct Group {
    recordings: usize,
    not_wrong: usize,
    right: Option<Share>,
    /// Self-desense found, where the group has it.
    recall: Option<Share>,
    /// Called self-desense without being it.
    false_alarms: Option<Share>,
    key_up_f1: Option<f64>,
    carrier_drop_f1: Option<f64>,
    hang_median_error_s: Option<f64>,
}

/// One wrong answer, to be rendered again.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct Miss {
    recording: String,
    encoding: String,
    cause: Cause,
    /// What was said; `None` where there was no verdict.
    said: Option<&'static str>,
    p_self_desense: Option<f64>,
    error: Option<String>,
}

/// How many misses the Markdown lists; the JSON has all.
const LISTED_MISSES: usize = 40;

/// What the page says about how it was made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Made<'a> {
    /// Part of the corpus.
    pub part: Part,
    /// Why that part is as it is.
    pub why: &'a str,
    /// How the recordings were judged, where not by the program as it is.
    pub judged_by: Option<&'a str>,
    /// The command that makes the page again.
    pub command: &'a str,
    /// Recordings of the whole part.
    pub whole: usize,
    /// Version of the program.
    pub version: &'a str,
}

impl Page {
    /// Scores `outcomes` in every grouping.
    #[must_use]
    pub fn new(made: &Made<'_>, outcomes: &[Outcome]) -> Self {
        let all: Vec<&Outcome> = outcomes.iter().collect();
        let misses = (outcomes.iter())
            .filter(|o| o.standing() == Standing::Wrong)
            .map(Miss::of);
        let mut misses: Vec<Miss> = misses.collect();
        misses.sort_by(|a, b| b.weight().total_cmp(&a.weight()));
        Self {
            schema: "tailbeat.accuracy/1",
            part: made.part,
            why: made.why.trim().into(),
            judged_by: made.judged_by.map(str::to_string),
            command: made.command.into(),
            version: made.version.into(),
            recordings: outcomes.len(),
            whole: made.whole,
            all: Scores::of(&all),
            tiers: grouped(outcomes, |o| o.tier, Scores::of),
            confusion: confusion(&all),
            scenes: grouped(outcomes, |o| o.scene.clone(), Group::of),
            chains: grouped(outcomes, |o| o.chain.clone(), Group::of),
            misses,
        }
    }

    /// The page for programs, ending in a line feed.
    ///
    /// # Errors
    /// Never with the types as they are; serde's signature is passed on.
    pub fn to_json(&self) -> serde_json::Result<String> {
        let mut value = serde_json::to_value(self)?;
        numbers::shorten(&mut value);
        Ok(serde_json::to_string_pretty(&value)? + "\n")
    }

    /// The page for people.
    #[must_use]
    pub fn to_markdown(&self) -> String {
        let mut text = self.opening();
        text += &tables::glance(&self.tiers);
        for (tier, scores) in &self.tiers {
            text += &tables::tier(*tier, scores);
        }
        text += "\n## What was called what\n\n";
        text += "Rows are the truth, columns the answer, `?` is *inconclusive*.\n\n";
        text += &tables::confusion(&self.confusion);
        text += "\n## The causes one by one\n\n";
        text += &tables::causes(&self.all.causes);
        text += "\n## Stated and observed probability of self-desense\n\n";
        text += &tables::reliability(self.all.forecast.as_ref());
        text += "\n## Events and hang time in more detail\n\n";
        text += &tables::events(&self.tiers);
        text += "\n## By scene\n\n";
        text += &tables::groups("scene", &self.scenes);
        text += "\n## By kind of listening and recording\n\n";
        text += &tables::groups("chain", &self.chains);
        text += &self.closing();
        text
    }

    fn opening(&self) -> String {
        format!(
            "# Accuracy on the {part} part of the corpus\n\n\
             Made by `{command}` of tailbeat {version}; do not edit. {count} \
             recordings{of_whole}.\n\n\
             {why}{judged_by}\n\n\
             All recordings come from this project's own simulator. They say how the program does \
             on chains that the simulator can draw, and nothing about any that it cannot. Every \
             scene is heard over every chain of its part; no scene and no chain is in both parts \
             (`corpus/split.toml`).\n\n\
             **How it is counted.** An event is found when one of its kind lies within \
             {near:.0} ms of it ({far:.0} ms for the tiers phone and hard); events are matched one \
             to one, as many as possible; where the listener missed a real start or end, nothing is \
             asked. *Inconclusive* is wrong unless the recording allows it \
             (`corpus/rulings.toml`, the labels, or too few drops to show anything); then it is \
             left out and counted as *not wrong*. Recordings without a verdict are wrong. Shares \
             have Wilson's 95 % interval, medians an interval from order statistics, other scores \
             one from drawing whole recordings again.\n\n\
             ## Measured against what is asked\n\n",
            part = self.part.as_str(),
            command = self.command,
            count = self.recordings,
            of_whole = if self.recordings < self.whole {
                format!(", a selection out of {}", self.whole)
            } else {
                String::new()
            },
            version = self.version,
            why = self.why.replace('\n', " "),
            judged_by = match &self.judged_by {
                Some(text) => format!("\n\n**{text}**"),
                None => String::new(),
            },
            near = COLLAR_NEAR.get() * 1e3,
            far = COLLAR_FAR.get() * 1e3,
        )
    }

    fn closing(&self) -> String {
        let mut text = String::from("\n## Wrong answers\n\n");
        if self.misses.is_empty() {
            return text + "None.\n";
        }
        text += &format!(
            "{} in all{}, gravest first. Any of them is made again, with its truth, by \
             `tailbeat prove --render NAME -o DIR`.\n\n",
            self.misses.len(),
            if self.misses.len() > LISTED_MISSES {
                ", the first of them here"
            } else {
                ""
            },
        );
        text + &tables::misses(&self.misses[..self.misses.len().min(LISTED_MISSES)])
    }
}

impl Group {
    fn of(outcomes: &[&Outcome]) -> Self {
        let scores = Scores::of(outcomes);
        Self {
            recordings: scores.recordings,
            not_wrong: scores.not_wrong,
            right: scores.right,
            recall: scores.recall,
            false_alarms: scores.false_alarms,
            key_up_f1: scores.key_up.f1.map(|f1| f1.value),
            carrier_drop_f1: scores.carrier_drop.f1.map(|f1| f1.value),
            hang_median_error_s: scores.hang.error.map(|error| error.median_s),
        }
    }
}

impl Miss {
    fn of(outcome: &Outcome) -> Self {
        let (p_self_desense, error) = match &outcome.answer {
            Answer::Said { p_self_desense, .. } => (Some(*p_self_desense), None),
            Answer::Failed(text) => (None, Some(text.clone())),
        };
        Self {
            recording: outcome.name.clone(),
            encoding: outcome.encoding.clone(),
            cause: outcome.cause,
            said: outcome.label().map(Label::as_str),
            p_self_desense,
            error,
        }
    }

    /// False alarms first, then missed desense, then the rest; within each the surer first.
    fn weight(&self) -> f64 {
        let p = self.p_self_desense.unwrap_or(0.0);
        let alarm = self.said == Some(Cause::SelfDesense.as_str());
        match (self.cause == Cause::SelfDesense, alarm) {
            (false, true) => 4.0 + p,
            (true, _) => 2.0 + (1.0 - p),
            (false, false) => p,
        }
    }
}

fn grouped<K: Ord, V>(
    outcomes: &[Outcome],
    key: impl Fn(&Outcome) -> K,
    score: impl Fn(&[&Outcome]) -> V,
) -> BTreeMap<K, V> {
    let mut groups: BTreeMap<K, Vec<&Outcome>> = BTreeMap::new();
    for outcome in outcomes {
        groups.entry(key(outcome)).or_default().push(outcome);
    }
    groups
        .into_iter()
        .map(|(key, group)| (key, score(&group)))
        .collect()
}

#[cfg(test)]
mod tests;
