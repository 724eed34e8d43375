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

/// Those that know nothing of a fold each, in the order of the plan's. They hear frames as `ear` does: what
/// is learnt by them is for its use.
pub fn of_folds(folder: &Path, plan: &PartPlan, ear: &Ear) -> Result<Vec<Ear>> {
    if plan.folds.is_empty() {
        return Err(Error::BadSetting {
            place: "--folds".into(),
            what: "the corpus' split.toml has no folds to leave out".into(),
            remedy: "write them into it, or leave --folds out".into(),
        });
    }
    (0..plan.folds.len())
        .map(|fold| {
            let path = folder.join(format!("{fold}.tbn"));
            let of_fold = Ear::read(Some(&path))?;
            if of_fold.0.hears_frames_like(&ear.0) {
                return Ok(of_fold);
            }
            Err(Error::BadSetting {
                place: path.display().to_string(),
                what: "it hears frames by other weights than the network in use".into(),
                remedy: format!(
                    "fit it anew from that network: tests/training/likeness.py --fold {fold}"
                ),
            })
        })
        .collect()
}
