//! `tailbeat.backoff/1`.

use super::cost::CostFields;
use crate::backoff::Trial;
use crate::backoff::estimate::Method;
use crate::backoff::report::{BackoffReport, CostBasis};
use crate::backoff::trials::{Exclusion, Level};
use crate::present::site::backoff::reason;
use crate::units::Decibels;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The name of this format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Format {
    /// Version 1.
    #[serde(rename = "tailbeat.backoff/1")]
    V1,
}

/// A stepped back-off test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "tailbeat.backoff/1")]
pub struct BackoffJson {
    /// Name and version of the format.
    pub schema: Format,
    /// Trials that count.
    pub trials: Vec<TrialJson>,
    /// What does not count.
    pub excluded: Vec<ExcludedJson>,
    /// Trials level by level, lowest back-off first.
    pub levels: Vec<LevelJson>,
    /// The raw figure: hysteresis not added.
    pub desense: DesenseJson,
    /// Whether it came back no more often at any step than at the one before.
    pub in_order: bool,
    /// With the hysteresis added; null where it is not known.
    pub corrected: Option<CorrectedJson>,
    /// What the raw figure costs; null where there is none.
    pub cost: Option<BackoffCostJson>,
    /// Spearman-Karber, as a cross-check.
    pub cross_check_db: Option<f64>,
}

/// One trial.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TrialJson {
    /// Back-off.
    pub backoff_db: f64,
    /// When it dropped; null for trials typed by hand.
    pub drop_s: Option<f64>,
    /// Whether it came back.
    pub came_back: bool,
    /// From drop to return.
    pub gap_s: Option<f64>,
    /// Probability that drop and outcome are as stated.
    pub confidence: Option<f64>,
}

/// What does not count.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ExcludedJson {
    /// Back-off in force.
    pub backoff_db: Option<f64>,
    /// When.
    pub at_s: f64,
    /// Fixed word.
    pub code: String,
    /// Words.
    pub text: String,
}

/// One level.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LevelJson {
    /// Back-off.
    pub backoff_db: f64,
    /// Trials.
    pub trials: u32,
    /// Trials that came back.
    pub came_back: u32,
}

/// The raw figure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DesenseJson {
    /// Null when nothing came back.
    pub at_least_db: Option<f64>,
    /// Null when it came back at the last step.
    pub less_than_db: Option<f64>,
    /// Half-way back-off.
    pub estimate_db: Option<f64>,
    /// Low end of the 95 % interval.
    pub low_db: Option<f64>,
    /// High end.
    pub high_db: Option<f64>,
    /// `probit`, `logit`, `probit_with_prior`; null without an estimate.
    pub method: Option<String>,
}

/// With the hysteresis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CorrectedJson {
    /// What was added.
    pub hysteresis_db: f64,
    /// Low end of the bracket.
    pub at_least_db: Option<f64>,
    /// High end of the bracket.
    pub less_than_db: Option<f64>,
    /// Estimate.
    pub estimate_db: Option<f64>,
    /// Low end of the interval.
    pub low_db: Option<f64>,
    /// High end of the interval.
    pub high_db: Option<f64>,
}

/// The cost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BackoffCostJson {
    /// `estimate` or `at_least`: of which raw figure.
    pub basis: String,
    /// The cost.
    #[serde(flatten)]
    pub cost: CostFields,
}

fn bare(level: Option<Decibels>) -> Option<f64> {
    level.map(Decibels::get).filter(|level| level.is_finite())
}

const fn code(reason: Exclusion) -> &'static str {
    match reason {
        Exclusion::BeforeFirstStep => "before_first_step",
        Exclusion::OperatorRaised => "operator_raised",
        Exclusion::StepChanged => "step_changed",
        Exclusion::GapNotObservable => "gap_not_observable",
        Exclusion::Doubtful => "doubtful",
        Exclusion::Disturbed => "disturbed",
        Exclusion::NoDrop => "no_drop",
    }
}

impl From<&BackoffReport> for BackoffJson {
    fn from(report: &BackoffReport) -> Self {
        let excluded = report.trials.excluded.iter().map(|e| ExcludedJson {
            backoff_db: bare(e.backoff),
            at_s: rounded(e.at.get(), MICRO),
            code: code(e.reason).into(),
            text: reason(e.reason).into(),
        });
        let levels = report.levels.iter().map(LevelJson::from);
        Self {
            schema: Format::V1,
            trials: report.trials.trials.iter().map(TrialJson::from).collect(),
            excluded: excluded.collect(),
            levels: levels.collect(),
            desense: DesenseJson::from(report),
            in_order: report.bracket.disorder.is_empty(),
            corrected: report.corrected.map(|c| CorrectedJson {
                hysteresis_db: c.hysteresis.get(),
                at_least_db: bare(c.at_least),
                less_than_db: bare(c.less_than),
                estimate_db: bare(c.estimate),
                low_db: bare(c.low),
                high_db: bare(c.high),
            }),
            cost: report.cost.as_ref().map(|(cost, basis)| BackoffCostJson {
                basis: match basis {
                    CostBasis::Estimate => "estimate".into(),
                    CostBasis::AtLeast => "at_least".into(),
                },
                cost: cost.into(),
            }),
            cross_check_db: report.cross_check.map(|c| c.mean.get()),
        }
    }
}

impl From<&Level> for LevelJson {
    fn from(level: &Level) -> Self {
        Self {
            backoff_db: level.backoff.get(),
            trials: level.trials,
            came_back: level.came_back,
        }
    }
}

impl From<&BackoffReport> for DesenseJson {
    fn from(report: &BackoffReport) -> Self {
        let estimate = report.estimate.as_ref().ok();
        let method = estimate.map(|e| match e.method {
            Method::Probit => "probit",
            Method::Logit => "logit",
            Method::ProbitWithPrior => "probit_with_prior",
        });
        Self {
            at_least_db: bare(report.bracket.at_least),
            less_than_db: bare(report.bracket.less_than),
            estimate_db: bare(estimate.map(|e| e.middle)),
            low_db: bare(estimate.and_then(|e| e.low)),
            high_db: bare(estimate.and_then(|e| e.high)),
            method: method.map(str::to_owned),
        }
    }
}

impl From<&Trial> for TrialJson {
    fn from(trial: &Trial) -> Self {
        Self {
            backoff_db: trial.backoff.get(),
            drop_s: trial.drop.map(|t| rounded(t.get(), MICRO)),
            came_back: trial.came_back,
            gap_s: trial.gap.map(|g| rounded(g.get(), MICRO)),
            confidence: trial.confidence.map(|c| rounded(c, FOUR_PLACES)),
        }
    }
}

/// Microseconds: far below any edge's uncertainty.
const MICRO: f64 = 1e6;
/// What another machine's arithmetic changes in a confidence lies below these.
const FOUR_PLACES: f64 = 1e4;

/// Without the digits that mean nothing, so that a saved test has one fingerprint everywhere.
fn rounded(value: f64, per_unit: f64) -> f64 {
    (value * per_unit).round() / per_unit
}
