//! `tailbeat.cost/1`.

use crate::site::cost::{Cost, Slope};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The name of this format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Format {
    /// Version 1.
    #[serde(rename = "tailbeat.cost/1")]
    V1,
}

/// What a desense costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "tailbeat.cost/1")]
pub struct CostJson {
    /// Name and version of the format.
    pub schema: Format,
    /// The desense asked about.
    pub desense_db: f64,
    /// The cost.
    #[serde(flatten)]
    pub cost: CostFields,
}

/// The cost, here and in the stepped test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CostFields {
    /// Factor by which a user's power must grow.
    pub power_ratio: f64,
    /// Power that does what the stated one did before.
    pub erp_needed_w: Option<f64>,
    /// Range left of 1.
    pub range_factor: Option<f64>,
    /// Area left of 1.
    pub area_factor: f64,
    /// Path-loss exponent used.
    pub path_exponent: f64,
    /// `usual`, `stated` or `antenna_height`.
    pub path_exponent_from: String,
    /// Transmitter's noise relative to the receiver's floor.
    pub added_noise_db: Option<f64>,
    /// Desense that would be tolerated.
    pub target_db: Option<f64>,
    /// Isolation missing to get there.
    pub missing_isolation_db: Option<f64>,
}

impl From<&Cost> for CostFields {
    fn from(cost: &Cost) -> Self {
        let from = match cost.asked.slope {
            Slope::Usual => "usual",
            Slope::Stated(_) => "stated",
            Slope::Antenna(_) => "antenna_height",
        };
        Self {
            power_ratio: cost.power_ratio,
            erp_needed_w: cost.erp_needed.map(|w| w.get()),
            range_factor: Some(cost.range_factor),
            area_factor: cost.area_factor,
            path_exponent: cost.exponent,
            path_exponent_from: from.into(),
            added_noise_db: cost.added_noise.map(|d| d.get()),
            target_db: cost.asked.target.map(|d| d.get()),
            missing_isolation_db: cost.missing_isolation.map(|d| d.get()),
        }
    }
}

impl From<&Cost> for CostJson {
    fn from(cost: &Cost) -> Self {
        Self {
            schema: Format::V1,
            desense_db: cost.asked.desense.get(),
            cost: cost.into(),
        }
    }
}
