//! How good the stated probability of self-desense is.

use crate::cause::verdict::Cause;
use crate::proving::bootstrap::{Estimate, estimate};
use crate::proving::outcome::{Answer, Outcome};
use crate::proving::rules::RELIABILITY_BINS;
use crate::statistics::calibration::{
    Forecast, brier, expected_calibration_error, reliability_table,
};
use serde::Serialize;

/// Scores of P(self-desense) over the recordings with a verdict, whatever their labels allow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ForecastScore {
    /// Mean squared error.
    pub brier: Estimate,
    /// Mean distance of stated from observed frequency, over bins of equal width.
    pub calibration_error: Estimate,
    /// The bins.
    pub reliability: Vec<ReliabilityRow>,
}

/// One bin of the reliability table.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ReliabilityRow {
    /// Recordings.
    pub recordings: usize,
    /// Mean stated probability.
    pub stated: f64,
    /// Share that was self-desense.
    pub observed: f64,
}

impl ForecastScore {
    pub(super) fn of(outcomes: &[&Outcome]) -> Option<Self> {
        let forecasts: Vec<Forecast> = outcomes.iter().filter_map(|o| forecast(o)).collect();
        let copied = |drawn: &[&Forecast]| drawn.iter().map(|f| **f).collect::<Vec<_>>();
        let rows = reliability_table(&forecasts, RELIABILITY_BINS);
        Some(Self {
            brier: estimate(&forecasts, |drawn| brier(&copied(drawn)))?,
            calibration_error: estimate(&forecasts, |drawn| {
                expected_calibration_error(&copied(drawn), RELIABILITY_BINS)
            })?,
            reliability: rows
                .iter()
                .map(|row| ReliabilityRow {
                    recordings: row.count,
                    stated: row.mean_stated,
                    observed: row.frequency,
                })
                .collect(),
        })
    }
}

fn forecast(outcome: &Outcome) -> Option<Forecast> {
    match outcome.answer {
        Answer::Said { p_self_desense, .. } => Some(Forecast {
            stated: p_self_desense,
            happened: outcome.cause == Cause::SelfDesense,
        }),
        Answer::Failed(_) => None,
    }
}
