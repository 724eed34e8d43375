//! Ratio of two mean powers in dB with its interval from block to block.

use crate::tuning::site::CONFIDENCE;
use crate::units::{Decibels, power_ratio_to_db};
use statrs::distribution::{ContinuousCDF, StudentsT};

/// A level with its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ratio {
    /// Best value.
    pub value: Decibels,
    /// Half-width of the interval; `None` for fewer than [`LEAST_BLOCKS`] blocks.
    pub plus_minus: Option<Decibels>,
}

/// Fewer blocks tell nothing about their own scatter.
pub const LEAST_BLOCKS: usize = 4;

/// `sum(upper) / sum(lower)` over blocks that belong together pair by pair; interval by leaving
/// out one block at a time.
pub fn paired(upper: &[f64], lower: &[f64]) -> Ratio {
    let (u, l): (f64, f64) = (upper.iter().sum(), lower.iter().sum());
    let value = power_ratio_to_db(u / l);
    let left_out = upper
        .iter()
        .zip(lower)
        .map(|(x, y)| power_ratio_to_db((u - x) / (l - y)).get());
    Ratio {
        value,
        plus_minus: jackknife(left_out.collect()),
    }
}

/// Ratio of the means of two independent sets of blocks.
pub fn unpaired(upper: &[f64], lower: &[f64]) -> Ratio {
    let level = |blocks: &[f64]| {
        let sum: f64 = blocks.iter().sum();
        let n = blocks.len() as f64;
        let out = blocks
            .iter()
            .map(|x| power_ratio_to_db((sum - x) / (n - 1.0)).get());
        (power_ratio_to_db(sum / n), jackknife(out.collect()))
    };
    let ((up, up_pm), (low, low_pm)) = (level(upper), level(lower));
    let plus_minus = up_pm
        .zip(low_pm)
        .map(|(a, b)| Decibels(a.get().hypot(b.get())));
    Ratio {
        value: up - low,
        plus_minus,
    }
}

/// Half-width from the values with one block left out each.
fn jackknife(left_out: Vec<f64>) -> Option<Decibels> {
    let n = left_out.len();
    if n < LEAST_BLOCKS {
        return None;
    }
    let centre = left_out.iter().sum::<f64>() / n as f64;
    let squares: f64 = left_out.iter().map(|v| (v - centre).powi(2)).sum();
    let error = (squares * (n - 1) as f64 / n as f64).sqrt();
    let law = StudentsT::new(0.0, 1.0, (n - 1) as f64).ok()?;
    Some(Decibels(law.inverse_cdf(0.5 + 0.5 * CONFIDENCE) * error))
}
