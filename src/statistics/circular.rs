//! Phases on a circle.

use std::f64::consts::TAU;

/// Direction and concentration of phases.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanDirection {
    /// Direction of the resultant, 0 to 2 pi.
    pub angle_rad: f64,
    /// Length of the mean resultant, 0 (spread out) to 1 (all alike).
    pub length: f64,
}

/// Rayleigh's test of "no preferred phase".
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rayleigh {
    /// `n R^2`.
    pub z: f64,
    /// Probability of a resultant this long without any preferred phase.
    pub p: f64,
}

/// Mean direction of angles in radians. `None` when empty.
#[must_use]
pub fn mean_direction(angles_rad: &[f64]) -> Option<MeanDirection> {
    if angles_rad.is_empty() {
        return None;
    }
    let n = angles_rad.len() as f64;
    let (sin, cos) = angles_rad
        .iter()
        .fold((0.0, 0.0), |(s, c), a| (s + a.sin(), c + a.cos()));
    Some(MeanDirection {
        angle_rad: sin.atan2(cos).rem_euclid(TAU),
        length: (sin.hypot(cos) / n).min(1.0),
    })
}

/// Rayleigh test; p by `exp(sqrt(1 + 4n + 4(n^2 - (nR)^2)) - (1 + 2n))` (Zar, *Biostatistical
/// Analysis*). `None` when empty.
#[must_use]
pub fn rayleigh(angles_rad: &[f64]) -> Option<Rayleigh> {
    let n = angles_rad.len() as f64;
    let resultant = n * mean_direction(angles_rad)?.length;
    let p = ((1.0 + 4.0 * n + 4.0 * (n * n - resultant * resultant)).sqrt() - (1.0 + 2.0 * n))
        .exp()
        .min(1.0);
    Some(Rayleigh {
        z: resultant * resultant / n,
        p,
    })
}

/// Moments to phases of a beat with this period, 0 to 2 pi. `None` unless the period is
/// positive.
#[must_use]
pub fn phases(moments_s: &[f64], period_s: f64) -> Option<Vec<f64>> {
    (period_s > 0.0 && period_s.is_finite()).then(|| {
        moments_s
            .iter()
            .map(|t| TAU * (t / period_s).rem_euclid(1.0))
            .collect()
    })
}
