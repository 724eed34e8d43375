//! The corpus: scenes on the air, chains from the listener's set to the file, which of them are
//! for fitting and which are held out, and what other answers are not wrong.

mod cell;
mod plan;

pub use cell::Cell;
pub use plan::{Part, PartPlan};

use super::encoding::Encoding;
use super::fragments::lay;
use crate::cause::verdict::{Cause, Label};
use crate::error::{Error, Result};
use crate::simulate::rng::stream;
use crate::simulate::{Family, Scenario};
use plan::{RulingsFile, SplitFile};
use rand::RngExt;
use std::collections::BTreeMap;
use toml::{Table, Value};

/// Everything that the corpus folder holds.
#[derive(Debug, Clone)]
pub struct Corpus {
    common: Fragment,
    scenes: BTreeMap<String, Fragment>,
    chains: BTreeMap<String, Chain>,
    split: SplitFile,
    rulings: BTreeMap<String, Vec<Label>>,
}

#[derive(Debug, Clone)]
struct Fragment {
    file: String,
    table: Table,
}

#[derive(Debug, Clone)]
struct Chain {
    fragment: Fragment,
    encodings: Vec<Encoding>,
}

/// Each scene that says `like = "another"` has what that other one says wherever it says nothing itself.
fn with_those_they_are_like(own: BTreeMap<String, Fragment>) -> Result<BTreeMap<String, Fragment>> {
    let mut scenes = own.clone();
    for scene in scenes.values_mut() {
        let Some(like) = scene.table.remove("like") else {
            continue;
        };
        let other = like.as_str().and_then(|name| own.get(name));
        let Some(other) = other.filter(|other| !other.table.contains_key("like")) else {
            return Err(bad(
                &scene.file,
                "is `like` no scene that stands for itself",
                "name such a scene",
            ));
        };
        for (key, value) in &other.table {
            if !scene.table.contains_key(key) {
                scene.table.insert(key.clone(), value.clone());
            }
        }
    }
    Ok(scenes)
}

/// One recording to be made: its scenario, drawn, and the file that it becomes.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// Where in the corpus it stands.
    pub cell: Cell,
    /// Seed of the rendering.
    pub seed: u64,
    /// The scenario.
    pub scenario: Scenario,
    /// The file.
    pub encoding: Encoding,
    /// Answers that are not wrong beside the true cause.
    pub also: Vec<Label>,
}

impl Corpus {
    /// Reads the corpus from its files: pairs of the path within the corpus folder (with `/`)
    /// and the text. Needs `common.toml`, `split.toml`, `rulings.toml`, and files in
    /// `families/scenes/` and `families/chains/`; others are ignored.
    ///
    /// # Errors
    /// [`Error::BadSetting`] naming the file.
    pub fn from_files(files: &[(String, String)]) -> Result<Self> {
        let text = |path: &str| {
            let found = files.iter().find(|(name, _)| name == path);
            found
                .map(|(_, text)| text.as_str())
                .ok_or_else(|| bad(path, "is missing", "give the folder of a whole corpus"))
        };
        let mut scenes = BTreeMap::new();
        let mut chains = BTreeMap::new();
        for (path, text) in files {
            if let Some(name) = named(path, "families/scenes/") {
                scenes.insert(name.to_string(), Fragment::read(path, text)?);
            } else if let Some(name) = named(path, "families/chains/") {
                chains.insert(name.to_string(), Chain::read(path, text)?);
            }
        }
        let scenes = with_those_they_are_like(scenes)?;
        let rulings = RulingsFile::read("rulings.toml", text("rulings.toml")?)?;
        let corpus = Self {
            common: Fragment::read("common.toml", text("common.toml")?)?,
            scenes,
            chains,
            split: SplitFile::read("split.toml", text("split.toml")?)?,
            rulings: rulings.by_scene("rulings.toml")?,
        };
        corpus.check_names()?;
        Ok(corpus)
    }

    /// Every recording of `part`, in a fixed order.
    #[must_use]
    pub fn cells(&self, part: Part) -> Vec<Cell> {
        match part {
            Part::Fit => self.split.fit.cells(),
            Part::Spared => {
                let mut cells = self.split.fit.cells();
                cells.retain(Cell::spared);
                cells
            }
            Part::HeldOut => self.split.held_out.cells(),
            Part::Quick => self.quick(),
        }
    }

    /// What the split says of `part`, and why.
    #[must_use]
    pub fn plan(&self, part: Part) -> &PartPlan {
        match part {
            Part::Fit | Part::Spared => &self.split.fit,
            Part::HeldOut | Part::Quick => &self.split.held_out,
        }
    }

    /// Names of all scenes.
    pub fn scenes(&self) -> impl Iterator<Item = &str> {
        self.scenes.keys().map(String::as_str)
    }

    /// Names of all chains.
    pub fn chains(&self) -> impl Iterator<Item = &str> {
        self.chains.keys().map(String::as_str)
    }

    /// One recording for each pair of tier and cause that the held-out part has, spread over its
    /// scenes and chains.
    fn quick(&self) -> Vec<Cell> {
        let mut groups: BTreeMap<(String, Cause), Vec<Cell>> = BTreeMap::new();
        for cell in self.split.held_out.cells() {
            if cell.index == 0
                && let (Some(tier), Some(cause)) = (self.tier(&cell), self.cause_of(&cell.scene))
            {
                groups.entry((tier.into(), cause)).or_default().push(cell);
            }
        }
        let stride = |tier: &str, cause: Cause| tier.len() * 7 + cause.index() * 3;
        groups
            .into_iter()
            .filter_map(|((tier, cause), cells)| {
                let at = stride(&tier, cause) % cells.len();
                cells.into_iter().nth(at)
            })
            .collect()
    }

    /// The word of the tier that the cell's chain belongs to.
    #[must_use]
    pub fn tier(&self, cell: &Cell) -> Option<&str> {
        self.chains
            .get(&cell.chain)?
            .fragment
            .table
            .get("tier")?
            .as_str()
    }

    /// What is behind a scene.
    #[must_use]
    pub fn cause_of(&self, scene: &str) -> Option<Cause> {
        let word = self.scenes.get(scene)?.table.get("cause")?.as_str()?;
        Cause::ALL.into_iter().find(|cause| cause.as_str() == word)
    }

    /// The recording that `cell` stands for.
    ///
    /// # Errors
    /// [`Error::BadSetting`] for an unknown scene or chain, or a scenario that makes no sense.
    pub fn draw(&self, cell: &Cell) -> Result<Drawn> {
        let unknown = |what: &str, name: &str| {
            let known = if what == "scene" {
                "families/scenes"
            } else {
                "families/chains"
            };
            bad(
                &cell.to_string(),
                &format!("there is no {what} `{name}`"),
                &format!("see {known}"),
            )
        };
        let scene = self
            .scenes
            .get(&cell.scene)
            .ok_or_else(|| unknown("scene", &cell.scene))?;
        let chain = self
            .chains
            .get(&cell.chain)
            .ok_or_else(|| unknown("chain", &cell.chain))?;
        let seed = cell.seed();
        let mut table = lay(
            &[
                (self.common.file.as_str(), &self.common.table),
                (chain.fragment.file.as_str(), &chain.fragment.table),
                (scene.file.as_str(), &scene.table),
            ],
            seed,
        )?;
        for key in ["name", "family"] {
            table.insert(key.into(), Value::String(cell.family()));
        }
        let place = format!("{} on {}", scene.file, chain.fragment.file);
        let text = toml::to_string(&table)
            .map_err(|error| bad(&place, &error.to_string(), "write plain values"))?;
        let index = stream(seed, "encoding").random_range(0..chain.encodings.len());
        Ok(Drawn {
            cell: cell.clone(),
            seed,
            scenario: Family::from_toml(&text, &place)?.draw(seed)?,
            encoding: chain.encodings[index],
            also: self.rulings.get(&cell.scene).cloned().unwrap_or_default(),
        })
    }

    /// Names in split and rulings must exist, and no scene or chain may be in both parts.
    fn check_names(&self) -> Result<()> {
        for plan in [&self.split.fit, &self.split.held_out] {
            let scenes = plan
                .scenes
                .keys()
                .map(|name| (name, self.scenes.contains_key(name)));
            let chains = plan
                .chains
                .iter()
                .map(|name| (name, self.chains.contains_key(name)));
            for (name, known) in scenes.chain(chains) {
                if !known {
                    let what = format!("names `{name}`, which has no file");
                    return Err(bad("split.toml", &what, "write the file or drop the name"));
                }
            }
        }
        let (fit, held_out) = (&self.split.fit, &self.split.held_out);
        let in_folds = |name: &String| fit.folds.iter().filter(|f| f.contains(name)).count();
        let mut all = fit.scenes.keys().chain(&fit.chains);
        let amiss = all.find(|name| !fit.folds.is_empty() && in_folds(name) != 1);
        if let Some(name) = amiss {
            let what = format!("has `{name}` in no fold or in several");
            return Err(bad("split.toml", &what, "write it into one"));
        }
        let shared = (held_out
            .scenes
            .keys()
            .find(|name| fit.scenes.contains_key(*name)))
        .or_else(|| {
            held_out
                .chains
                .iter()
                .find(|name| fit.chains.contains(name))
        });
        if let Some(name) = shared {
            let what = format!("has `{name}` in both parts");
            return Err(bad(
                "split.toml",
                &what,
                "keep it in one: held-out must stay unseen",
            ));
        }
        match self
            .rulings
            .keys()
            .find(|name| !self.scenes.contains_key(*name))
        {
            Some(name) => {
                let what = format!("rules on `{name}`, which has no file");
                Err(bad(
                    "rulings.toml",
                    &what,
                    "write the file or drop the ruling",
                ))
            }
            None => Ok(()),
        }
    }
}

impl Fragment {
    fn read(file: &str, text: &str) -> Result<Self> {
        let table = text
            .parse()
            .map_err(|error: toml::de::Error| bad(file, error.message(), "mend the TOML"))?;
        Ok(Self {
            file: file.into(),
            table,
        })
    }
}

impl Chain {
    fn read(file: &str, text: &str) -> Result<Self> {
        let mut fragment = Fragment::read(file, text)?;
        let encodings = match fragment.table.remove("encodings") {
            Some(Value::Array(words)) if !words.is_empty() => words
                .iter()
                .map(|word| Encoding::parse(word.as_str().unwrap_or_default(), file))
                .collect::<Result<Vec<_>>>()?,
            _ => {
                return Err(bad(
                    file,
                    "has no list `encodings`",
                    "write encodings = [\"wav\"]",
                ));
            }
        };
        Ok(Self {
            fragment,
            encodings,
        })
    }
}

/// `name` of `folder` + `name` + `.toml`.
fn named<'a>(path: &'a str, folder: &str) -> Option<&'a str> {
    path.strip_prefix(folder)?.strip_suffix(".toml")
}

fn bad(place: &str, what: &str, remedy: &str) -> Error {
    Error::BadSetting {
        place: place.into(),
        what: what.into(),
        remedy: remedy.into(),
    }
}

#[cfg(test)]
mod tests;
