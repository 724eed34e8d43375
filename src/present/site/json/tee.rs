//! `tailbeat.tee/1`.

use crate::present::site::tee::doubt;
use crate::site::tee::{Doubt, Figure, State, TeeResult};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The name of this format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Format {
    /// Version 1.
    #[serde(rename = "tailbeat.tee/1")]
    V1,
}

/// The worksheet of the isolated tee.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "tailbeat.tee/1")]
pub struct TeeJson {
    /// Name and version of the format.
    pub schema: Format,
    /// Levels read.
    pub levels: Vec<StateJson>,
    /// The bare receiver's own sensitivity; null where the tee's loss is not known.
    pub sensitivity_dbm: Option<f64>,
    /// Antenna, on minus off.
    pub desense: Option<FigureJson>,
    /// Off, antenna minus load.
    pub site_noise: Option<FigureJson>,
    /// Load, on minus off.
    pub cabinet_leakage: Option<FigureJson>,
    /// Antenna on minus load off.
    pub whole: Option<FigureJson>,
    /// Shares of the noise power while it transmits; they sum to 1.
    pub shares: Option<SharesJson>,
    /// Whether readings contradict each other.
    pub contradiction: bool,
    /// Doubts in words.
    pub doubts: Vec<String>,
}

/// One state.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StateJson {
    /// `load_off`, `antenna_off`, `load_on`, `antenna_on`.
    pub state: String,
    /// Mean level of the generator.
    pub level_dbm: f64,
    /// Readings.
    pub readings: usize,
}

/// A difference.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FigureJson {
    /// Best value.
    pub value_db: f64,
    /// Half-width of the 95 % interval; null without repeats.
    pub plus_minus_db: Option<f64>,
}

/// Shares of noise power.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SharesJson {
    /// The receiver's own.
    pub receiver: f64,
    /// The site's.
    pub site: f64,
    /// The transmitter's inside the cabinet.
    pub cabinet: f64,
    /// The transmitter's by way of the antenna side.
    pub antenna_side: f64,
}

impl From<Figure> for FigureJson {
    fn from(figure: Figure) -> Self {
        Self {
            value_db: figure.value.get(),
            plus_minus_db: figure.plus_minus.map(|d| d.get()),
        }
    }
}

impl From<&TeeResult> for TeeJson {
    fn from(result: &TeeResult) -> Self {
        let levels = State::ALL.into_iter().filter_map(|state| {
            Some(StateJson {
                state: state.as_str().into(),
                level_dbm: result.means[state.index()]?.get(),
                readings: result.counts[state.index()],
            })
        });
        Self {
            schema: Format::V1,
            levels: levels.collect(),
            sensitivity_dbm: result.sensitivity.map(|d| d.get()),
            desense: result.desense.map(Into::into),
            site_noise: result.site_noise.map(Into::into),
            cabinet_leakage: result.cabinet_leakage.map(Into::into),
            whole: result.whole.map(Into::into),
            shares: result.shares.map(|s| SharesJson {
                receiver: s.receiver,
                site: s.site,
                cabinet: s.cabinet,
                antenna_side: s.antenna_side,
            }),
            contradiction: result.doubts.iter().any(Doubt::is_contradiction),
            doubts: result.doubts.iter().map(doubt).collect(),
        }
    }
}
