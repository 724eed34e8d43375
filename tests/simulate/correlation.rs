//! How noise behind the receiver's filter remembers itself, from the filter's response.

use std::f64::consts::TAU;
use tailbeat::simulate::dsp::fir::{ComplexFir, Taps};
use tailbeat::simulate::dsp::{ComplexBlock, RATE_HZ};

/// The filter's power response.
pub struct Correlation {
    /// Frequency and power response.
    response: Vec<[f64; 2]>,
}

impl Correlation {
    pub fn of(taps: &Taps) -> Self {
        let mut block = ComplexBlock::ZERO;
        block.re[0] = 1.0;
        ComplexFir::new(taps).process(&mut block);
        let impulse = block.re;
        let points = 600;
        let response = (0..points)
            .map(|i| {
                let hz = (f64::from(i) + 0.5) / f64::from(points) * RATE_HZ / 2.0;
                let (mut re, mut im) = (0.0, 0.0);
                for (n, tap) in impulse.iter().enumerate() {
                    let (sin, cos) = (TAU * hz * n as f64 / RATE_HZ).sin_cos();
                    re += f64::from(*tap) * cos;
                    im += f64::from(*tap) * sin;
                }
                [hz, re * re + im * im]
            })
            .collect::<Vec<_>>();
        let power: f64 = response.iter().map(|x| x[1]).sum();
        let response = response.iter().map(|[hz, p]| [*hz, p / power]).collect();
        Self { response }
    }

    /// Correlation over `tau_s`, and its slope.
    pub fn at(&self, tau_s: f64) -> (f64, f64) {
        let (mut value, mut slope) = (0.0, 0.0);
        for [hz, power] in &self.response {
            let (sin, cos) = (TAU * hz * tau_s).sin_cos();
            value += power * cos;
            slope -= power * TAU * hz * sin;
        }
        (value, slope)
    }
}
