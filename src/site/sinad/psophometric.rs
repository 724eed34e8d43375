//! ITU-T O.41 (10/94) telephone psophometric weights (second-hand: draft TIA-470.120-C, table
//! A.1). Not ITU-R BS.468, which is another curve.

use crate::units::{Decibels, Hertz};

/// Frequency in Hz and weight in dB relative to 800 Hz.
pub const TELEPHONE: [(f64, f64); 24] = [
    (16.66, -85.0),
    (50.0, -63.0),
    (100.0, -41.0),
    (200.0, -21.0),
    (300.0, -10.6),
    (400.0, -6.3),
    (500.0, -3.6),
    (600.0, -2.0),
    (700.0, -0.9),
    (800.0, 0.0),
    (900.0, 0.6),
    (1000.0, 1.0),
    (1200.0, 0.0),
    (1400.0, -0.9),
    (1600.0, -1.7),
    (1800.0, -2.4),
    (2000.0, -3.0),
    (2500.0, -4.2),
    (3000.0, -5.6),
    (3500.0, -8.5),
    (4000.0, -15.0),
    (4500.0, -25.0),
    (5000.0, -36.0),
    (6000.0, -43.0),
];

/// Weight by straight lines over the logarithm of frequency; beyond the table as at its end.
#[must_use]
pub fn telephone_weight(frequency: Hertz) -> Decibels {
    let hz = frequency.get();
    let after = TELEPHONE.partition_point(|(f, _)| *f <= hz);
    if after == 0 {
        return Decibels(TELEPHONE[0].1);
    }
    let Some(&(f1, w1)) = TELEPHONE.get(after) else {
        return Decibels(TELEPHONE[TELEPHONE.len() - 1].1);
    };
    let (f0, w0) = TELEPHONE[after - 1];
    Decibels(w0 + (w1 - w0) * (hz / f0).ln() / (f1 / f0).ln())
}
