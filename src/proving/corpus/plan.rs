//! The files that say how the corpus is split, and which other answers are not wrong.

use super::{Cell, bad};
use crate::cause::verdict::{Cause, Label};
use crate::error::Result;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Parts of the corpus.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// Thresholds and models are fitted on this.
    Fit,
    /// What of the fit part the network was not fitted on: the causes' tables are fitted on it.
    Spared,
    /// Nothing is ever fitted on this.
    HeldOut,
    /// One recording for each tier and cause of the held-out part.
    Quick,
}

impl Part {
    /// Its word.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Fit => "fit",
            Self::Spared => "spared",
            Self::HeldOut => "held-out",
            Self::Quick => "quick",
        }
    }
}

/// Scenes and chains of one part; every scene is heard over every chain, but for a few pairs.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartPlan {
    /// Why these.
    pub why: String,
    /// Scenes, each with its number of drawings over each chain.
    pub scenes: BTreeMap<String, u32>,
    /// Chains.
    pub chains: Vec<String>,
    /// Pairs `scene@chain` that would leave an empty recording.
    #[serde(default)]
    pub without: Vec<String>,
    /// Scenes and chains that are left out together where something is fitted without them.
    #[serde(default)]
    pub folds: Vec<Vec<String>>,
}

impl PartPlan {
    /// The fold without which the cell is judged: its chain's for even drawings, its scene's for odd
    /// ones, so that both recorders and scenes are met that nobody has heard.
    #[must_use]
    pub fn fold_of(&self, cell: &Cell) -> Option<usize> {
        let name = if cell.index.is_multiple_of(2) {
            &cell.chain
        } else {
            &cell.scene
        };
        self.folds.iter().position(|fold| fold.contains(name))
    }

    pub(super) fn cells(&self) -> Vec<Cell> {
        let mut cells = Vec::new();
        for (scene, &count) in &self.scenes {
            for chain in &self.chains {
                cells.extend((0..count).map(|index| Cell {
                    scene: scene.clone(),
                    chain: chain.clone(),
                    index,
                }));
            }
        }
        cells.retain(|cell| !self.without.contains(&cell.family()));
        cells
    }
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SplitFile {
    pub(super) fit: PartPlan,
    pub(super) held_out: PartPlan,
}

impl SplitFile {
    pub(super) fn read(file: &str, text: &str) -> Result<Self> {
        toml::from_str(text)
            .map_err(|error| bad(file, error.message(), "write [fit] and [held_out]"))
    }
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RulingsFile {
    #[serde(default)]
    ruling: Vec<Ruling>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Ruling {
    scene: String,
    also: Vec<String>,
    why: String,
}

impl RulingsFile {
    pub(super) fn read(file: &str, text: &str) -> Result<Self> {
        toml::from_str(text).map_err(|error| bad(file, error.message(), "write [[ruling]] blocks"))
    }

    pub(super) fn by_scene(&self, file: &str) -> Result<BTreeMap<String, Vec<Label>>> {
        let mut rulings: BTreeMap<String, Vec<Label>> = BTreeMap::new();
        for ruling in &self.ruling {
            if ruling.why.trim().is_empty() {
                return Err(bad(file, "a ruling has no reason", "write why"));
            }
            let labels = rulings.entry(ruling.scene.clone()).or_default();
            for word in &ruling.also {
                let label = label(word)
                    .ok_or_else(|| bad(file, &format!("`{word}` is no label"), "see the labels"))?;
                labels.push(label);
            }
        }
        Ok(rulings)
    }
}

fn label(word: &str) -> Option<Label> {
    if word == Label::Inconclusive.as_str() {
        return Some(Label::Inconclusive);
    }
    Cause::ALL
        .into_iter()
        .find(|cause| cause.as_str() == word)
        .map(Label::Cause)
}
