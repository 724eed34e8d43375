//! Remakes the committed recordings: a few short files in different containers, with their labels.

use super::making::{encode, io};
use crate::cli::wav;
use crate::error::{Error, Result};
use crate::proving::encoding::Encoding;
use crate::simulate::{Scenario, Truth, render};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Seed of all of them.
const SEED: u64 = 1;

/// Name of the list within the folder.
const LIST: &str = "recordings.toml";

/// Makes every recording that the list in `folder` names; gives the files made.
pub fn remake(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut made = Vec::new();
    for (name, encoding) in listed(folder)? {
        let scenario_file = folder.join(format!("{name}.toml"));
        let place = scenario_file.display().to_string();
        let scenario = Scenario::from_toml(&read(&scenario_file)?, &place)?;
        let rendering = render(&scenario, SEED)?;
        let audio = folder.join(format!("{name}.{}", encoding.kind.extension()));
        let source = folder.join(format!("{name}.source.wav"));
        wav::write(&rendering, &source)?;
        encode(encoding, &source, &audio)?;
        let truth_file = folder.join(format!("{name}.truth.json"));
        // The user's level and the clock's map are for study; they would outweigh the recording.
        let truth = Truth {
            levels: Vec::new(),
            clock: Vec::new(),
            ..rendering.truth
        };
        let text = serde_json::to_string(&truth).map_err(|error| io(&truth_file, error.into()))?;
        std::fs::write(&truth_file, text + "\n").map_err(|error| io(&truth_file, error))?;
        made.extend([audio, truth_file]);
    }
    Ok(made)
}

fn listed(folder: &Path) -> Result<BTreeMap<String, Encoding>> {
    let path = folder.join(LIST);
    let place = path.display().to_string();
    let words: BTreeMap<String, String> =
        toml::from_str(&read(&path)?).map_err(|error| Error::BadSetting {
            place: place.clone(),
            what: error.message().into(),
            remedy: "write NAME = \"encoding\" lines".into(),
        })?;
    (words.into_iter())
        .map(|(name, word)| Ok((name, Encoding::parse(&word, &place)?)))
        .collect()
}

fn read(path: &Path) -> Result<String> {
    std::fs::read_to_string(path).map_err(|error| io(path, error))
}
