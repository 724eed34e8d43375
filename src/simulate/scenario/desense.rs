//! How much the own transmitter raises the noise floor, and how steadily.

use super::Check;
use crate::error::Result;
use serde::{Deserialize, Serialize};

/// Rise of the noise floor by the own transmitter.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Desense {
    /// Rise.
    pub db: f64,
    /// How steadily.
    pub kind: DesenseKind,
    /// Arcing: chance that a key-up (or a moment of a transmission) finds it arcing.
    pub share: f64,
    /// Arcing: mean time to the next change within a transmission.
    pub dwell_s: f64,
    /// Arcing: impulses a second while it arcs.
    pub crackle_per_s: f64,
    /// Arcing: strength of an impulse over the quiet noise floor.
    pub crackle_db: f64,
}

impl Default for Desense {
    fn default() -> Self {
        Self {
            db: 0.0,
            kind: DesenseKind::Constant,
            share: 0.75,
            dwell_s: 0.8,
            crackle_per_s: 150.0,
            crackle_db: 22.0,
        }
    }
}

/// How steadily the floor rises.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Default)]
#[serde(rename_all = "snake_case")]
pub enum DesenseKind {
    /// Always, while the transmitter is on.
    #[default]
    Constant,
    /// As from an arcing joint: now and then, with crackle.
    Arcing,
}

impl Desense {
    pub(super) fn check(&self, check: &Check<'_>) -> Result<()> {
        check.within("repeater.desense.db", self.db, 0.0, 60.0)?;
        check.within("repeater.desense.share", self.share, 0.0, 1.0)?;
        check.within("repeater.desense.dwell_s", self.dwell_s, 0.005, 3600.0)?;
        check.within(
            "repeater.desense.crackle_per_s",
            self.crackle_per_s,
            0.0,
            20_000.0,
        )?;
        check.within("repeater.desense.crackle_db", self.crackle_db, 0.0, 80.0)
    }
}
