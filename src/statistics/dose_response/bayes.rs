//! Posterior of the half-way dose on a grid: every midpoint alike beforehand, and a log-normal
//! prior on how widely the threshold scatters from trial to trial. For tables where the doses
//! part the answers and the scatter cannot be learnt from the data.

use super::groups::DoseGroup;
use super::likelihood::log_likelihood;
use super::link::Link;
use crate::statistics::Interval;

/// What is believed of the scatter beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpreadPrior {
    /// Median scatter, in the dose's unit.
    pub median: f64,
    /// Factor from the median to the scatter at one standard deviation above (over 1).
    pub factor: f64,
}

/// The flat prior of the midpoint reaches from here to there.
pub type MidpointRange = Interval;

/// Whether more dose makes a response more or less likely.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// More dose, more responses.
    Rising,
    /// More dose, fewer responses.
    Falling,
}

/// Posterior of the midpoint.
#[derive(Debug, Clone, PartialEq)]
pub struct MidpointPosterior {
    midpoints: Vec<f64>,
    mass: Vec<f64>,
    spreads: Vec<f64>,
    joint: Vec<f64>,
    link: Link,
    direction: Direction,
}

/// Grid points of the midpoint and of the scatter.
const MIDPOINTS: usize = 400;
const SPREADS: usize = 41;
/// Reach of the scatter's grid in standard deviations of its prior.
const SPREAD_REACH: f64 = 3.0;

impl MidpointPosterior {
    /// Works the posterior out. `None` for an empty range or a prior that is none.
    #[must_use]
    pub fn new(
        groups: &[DoseGroup],
        link: Link,
        direction: Direction,
        range: MidpointRange,
        prior: SpreadPrior,
    ) -> Option<Self> {
        if !(range.width() > 0.0 && prior.median > 0.0 && prior.factor > 1.0) {
            return None;
        }
        let cell = range.width() / MIDPOINTS as f64;
        let midpoints: Vec<f64> = (0..MIDPOINTS)
            .map(|i| range.low + cell * (i as f64 + 0.5))
            .collect();
        let offsets: Vec<f64> = (0..SPREADS)
            .map(|j| SPREAD_REACH * (2.0 * j as f64 / (SPREADS - 1) as f64 - 1.0))
            .collect();
        let spreads: Vec<f64> = offsets
            .iter()
            .map(|o| prior.median * prior.factor.powf(*o))
            .collect();
        let mut joint = Vec::with_capacity(MIDPOINTS * SPREADS);
        for midpoint in &midpoints {
            for (spread, offset) in spreads.iter().zip(&offsets) {
                let slope = direction.sign() / spread;
                let b = [-slope * midpoint, slope];
                joint.push(log_likelihood(groups, link, b) - 0.5 * offset * offset);
            }
        }
        let top = joint.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        joint.iter_mut().for_each(|v| *v = (*v - top).exp());
        let total: f64 = joint.iter().sum();
        joint.iter_mut().for_each(|v| *v /= total);
        let mass = joint.chunks(SPREADS).map(|row| row.iter().sum()).collect();
        Some(Self {
            midpoints,
            mass,
            spreads,
            joint,
            link,
            direction,
        })
    }

    /// Posterior median.
    #[must_use]
    pub fn median(&self) -> f64 {
        self.quantile(0.5)
    }

    /// Interval with equal tails.
    #[must_use]
    pub fn interval(&self, confidence: f64) -> Interval {
        let tail = 0.5 * (1.0 - confidence);
        Interval {
            low: self.quantile(tail),
            high: self.quantile(1.0 - tail),
        }
    }

    /// Midpoint below which a share `q` of the belief lies.
    #[must_use]
    pub fn quantile(&self, q: f64) -> f64 {
        let cell = self.midpoints[1] - self.midpoints[0];
        let mut sum = 0.0;
        for (midpoint, mass) in self.midpoints.iter().zip(&self.mass) {
            if sum + mass >= q && *mass > 0.0 {
                return midpoint + cell * ((q - sum) / mass - 0.5);
            }
            sum += mass;
        }
        self.midpoints[self.midpoints.len() - 1] + 0.5 * cell
    }

    /// Variance of the midpoint.
    #[must_use]
    pub fn variance(&self) -> f64 {
        variance(&self.midpoints, &self.mass)
    }

    /// Chance of a response at `dose`, all midpoints and scatters weighed.
    #[must_use]
    pub fn predicted(&self, dose: f64) -> f64 {
        self.cells()
            .map(|(m, s, w)| w * self.response(dose, m, s))
            .sum()
    }

    /// Variance of the midpoint to be expected after one more trial at `dose`.
    #[must_use]
    pub fn expected_variance_after(&self, dose: f64) -> f64 {
        let mut yes = vec![0.0; self.midpoints.len()];
        let mut no = yes.clone();
        for (i, row) in self.joint.chunks(SPREADS).enumerate() {
            for (spread, weight) in self.spreads.iter().zip(row) {
                let p = self.response(dose, self.midpoints[i], *spread);
                yes[i] += weight * p;
                no[i] += weight * (1.0 - p);
            }
        }
        let part = |mass: &[f64]| {
            let share: f64 = mass.iter().sum();
            if share > 0.0 {
                share * variance(&self.midpoints, mass)
            } else {
                0.0
            }
        };
        part(&yes) + part(&no)
    }

    fn response(&self, dose: f64, midpoint: f64, spread: f64) -> f64 {
        self.link
            .probability(self.direction.sign() * (dose - midpoint) / spread)
    }

    fn cells(&self) -> impl Iterator<Item = (f64, f64, f64)> + '_ {
        self.joint.iter().enumerate().map(|(cell, weight)| {
            (
                self.midpoints[cell / SPREADS],
                self.spreads[cell % SPREADS],
                *weight,
            )
        })
    }
}

impl Direction {
    fn sign(self) -> f64 {
        match self {
            Self::Rising => 1.0,
            Self::Falling => -1.0,
        }
    }
}

/// Variance of values under weights that need not sum to 1.
fn variance(values: &[f64], weights: &[f64]) -> f64 {
    let total: f64 = weights.iter().sum();
    let mean = values.iter().zip(weights).map(|(v, w)| v * w).sum::<f64>() / total;
    values
        .iter()
        .zip(weights)
        .map(|(v, w)| w * (v - mean).powi(2))
        .sum::<f64>()
        / total
}
