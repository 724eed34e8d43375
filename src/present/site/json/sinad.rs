//! `tailbeat.sinad/1` and `tailbeat.quieting/1`.

use crate::site::sinad::{Band, Quieting, Sinad, Weighting};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The name of the first format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum SinadFormat {
    /// Version 1.
    #[serde(rename = "tailbeat.sinad/1")]
    V1,
}

/// The name of the second format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum QuietingFormat {
    /// Version 1.
    #[serde(rename = "tailbeat.quieting/1")]
    V1,
}

/// How powers were taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BandJson {
    /// Low edge.
    pub low_hz: f64,
    /// High edge.
    pub high_hz: f64,
    /// `flat` or `itu_t_o41`.
    pub weighting: String,
}

/// SINAD of a recorded tone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "tailbeat.sinad/1")]
pub struct SinadJson {
    /// Name and version of the format.
    pub schema: SinadFormat,
    /// The value.
    pub sinad_db: f64,
    /// Half-width of the 95 % interval.
    pub plus_minus_db: Option<f64>,
    /// Pitch of the tone.
    pub tone_hz: f64,
    /// Level of the tone.
    pub tone_dbfs: f64,
    /// Level of everything else in the band.
    pub rest_dbfs: f64,
    /// Band and weighting.
    pub band: BandJson,
    /// Half seconds used.
    pub blocks: usize,
}

/// Quieting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "tailbeat.quieting/1")]
pub struct QuietingJson {
    /// Name and version of the format.
    pub schema: QuietingFormat,
    /// The value.
    pub quieting_db: f64,
    /// Half-width of the 95 % interval.
    pub plus_minus_db: Option<f64>,
    /// Level of the hiss.
    pub hiss_dbfs: f64,
    /// Level under the carrier.
    pub quiet_dbfs: f64,
    /// Band and weighting.
    pub band: BandJson,
    /// Half seconds of hiss and of carrier.
    pub blocks: [usize; 2],
}

fn band(band: Band, weighting: Weighting) -> BandJson {
    BandJson {
        low_hz: band.low.get(),
        high_hz: band.high.get(),
        weighting: match weighting {
            Weighting::Flat => "flat".into(),
            Weighting::Telephone => "itu_t_o41".into(),
        },
    }
}

impl From<&Sinad> for SinadJson {
    fn from(result: &Sinad) -> Self {
        Self {
            schema: SinadFormat::V1,
            sinad_db: result.sinad.get(),
            plus_minus_db: result.plus_minus.map(|d| d.get()),
            tone_hz: result.tone.get(),
            tone_dbfs: result.tone_level.get(),
            rest_dbfs: result.rest_level.get(),
            band: band(result.band, result.weighting),
            blocks: result.blocks,
        }
    }
}

impl From<&Quieting> for QuietingJson {
    fn from(result: &Quieting) -> Self {
        Self {
            schema: QuietingFormat::V1,
            quieting_db: result.quieting.get(),
            plus_minus_db: result.plus_minus.map(|d| d.get()),
            hiss_dbfs: result.hiss_level.get(),
            quiet_dbfs: result.quiet_level.get(),
            band: band(result.band, result.weighting),
            blocks: result.blocks,
        }
    }
}
