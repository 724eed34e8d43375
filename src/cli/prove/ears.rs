//! The networks that recordings are heard by: the program's own, another, or those of the folds.

use super::making::io;
use crate::check::{Check, CheckOptions, check_by};
use crate::error::{Error, Result};
use crate::intake;
use crate::proving::corpus::PartPlan;
use crate::timeline::Reader;
use crate::timeline::network::Network;
use std::path::Path;
use std::sync::Arc;

/// Hears recordings by one network.
pub struct Ear(Arc<Network>);

impl Ear {
    /// By the network of this file, or by the program's own.
    pub fn read(path: Option<&Path>) -> Result<Self> {
        let Some(path) = path else {
            return Ok(Self(Network::shipped()));
        };
        let bytes = std::fs::read(path).map_err(|e| io(path, e))?;
        Network::from_bytes(&bytes)
            .map(|network| Self(Arc::new(network)))
            .map_err(|what| Error::BadSetting {
                place: path.display().to_string(),
                what,
                remedy: "give a file that tests/training/network.py wrote".into(),
            })
    }

    /// What it makes of a recording.
    pub fn check(&self, path: &Path) -> Result<Check> {
        let reader = Reader::by(Arc::clone(&self.0), None);
        let options = CheckOptions::default();
        check_by(reader, intake::open(path)?, &options, &mut |_| {})
    }
}

/// Those that know nothing of a fold each, in the order of the plan's.
pub fn of_folds(folder: &Path, plan: &PartPlan) -> Result<Vec<Ear>> {
    if plan.folds.is_empty() {
        return Err(Error::BadSetting {
            place: "--folds".into(),
            what: "the corpus' split.toml has no folds to leave out".into(),
            remedy: "write them into it, or leave --folds out".into(),
        });
    }
    (0..plan.folds.len())
        .map(|fold| Ear::read(Some(&folder.join(format!("{fold}.tbn")))))
        .collect()
}
