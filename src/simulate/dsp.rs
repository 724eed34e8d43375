//! Filters and noise that the scene is made with. Everything runs in blocks of [`BLOCK`] samples
//! at [`RATE_HZ`]: one block is one step of the closed loop.

pub mod fir;
pub mod gauss;
pub mod iir;
pub mod resample;

/// Rate of the complex baseband and of all sound inside the scene.
pub const RATE_HZ: f64 = 48_000.0;

/// Samples in one step of the loop.
pub const BLOCK: usize = 120;

/// Length of one step of the loop: 2.5 ms.
pub const STEP_S: f64 = BLOCK as f64 / RATE_HZ;

/// One step of real signal.
pub type Block = [f32; BLOCK];

/// One step of complex signal, real and imaginary parts apart so that loops vectorise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ComplexBlock {
    /// Real part.
    pub re: Block,
    /// Imaginary part.
    pub im: Block,
}

impl ComplexBlock {
    /// Nothing.
    pub const ZERO: Self = Self {
        re: [0.0; BLOCK],
        im: [0.0; BLOCK],
    };
}

/// dB of power to a factor of amplitude: `10^(dB/20)`.
#[must_use]
pub fn db_to_amplitude(db: f64) -> f64 {
    10f64.powf(db / 20.0)
}

/// Angle of a point, within 2e-5 rad: an 11th-order odd polynomial (Chebyshev-fitted, from
/// memory; the error is checked in the tests) on the first octant, unfolded.
#[must_use]
#[inline]
pub fn fast_atan2(y: f32, x: f32) -> f32 {
    let (ax, ay) = (x.abs(), y.abs());
    let (small, large) = if ax < ay { (ax, ay) } else { (ay, ax) };
    let q = small / large.max(f32::MIN_POSITIVE);
    let s = q * q;
    let mut p = -0.011_721_2_f32;
    p = p * s + 0.052_653_32;
    p = p * s - 0.116_432_87;
    p = p * s + 0.193_543_46;
    p = p * s - 0.332_623_47;
    p = p * s + 0.999_977_26;
    let mut angle = p * q;
    if ay > ax {
        angle = std::f32::consts::FRAC_PI_2 - angle;
    }
    if x < 0.0 {
        angle = std::f32::consts::PI - angle;
    }
    angle.copysign(y)
}

#[cfg(test)]
mod tests {
    use super::fast_atan2;

    #[test]
    fn fast_angle_is_within_its_bound_all_the_way_round() {
        let mut worst = 0.0f64;
        for i in 0..40_000 {
            let angle = (f64::from(i) + 0.5) / 40_000.0 * std::f64::consts::TAU;
            let (y, x) = (angle.sin() as f32, angle.cos() as f32);
            let exact = f64::from(y).atan2(f64::from(x));
            worst = worst.max((f64::from(fast_atan2(y, x)) - exact).abs());
        }
        assert!(worst < 2e-5, "{worst}");
        assert_eq!(fast_atan2(0.0, 0.0), 0.0);
    }
}
