//! White noise.

use super::{Block, ComplexBlock};
use crate::simulate::rng::stream;
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use rand_distr::StandardNormal;

/// A source of white Gaussian noise.
#[derive(Debug, Clone)]
pub struct Gauss(ChaCha8Rng);

impl Gauss {
    /// The noise named `label` of the rendering with this seed.
    #[must_use]
    pub fn new(seed: u64, label: &str) -> Self {
        Self(stream(seed, label))
    }

    /// One value of unit variance.
    #[inline]
    pub fn draw(&mut self) -> f32 {
        self.0.sample(StandardNormal)
    }

    /// Adds complex noise of mean power `rms^2` to a block.
    pub fn add_complex(&mut self, block: &mut ComplexBlock, rms: f64) {
        let each = (rms * std::f64::consts::FRAC_1_SQRT_2) as f32;
        for (re, im) in block.re.iter_mut().zip(&mut block.im) {
            *re += each * self.draw();
            *im += each * self.draw();
        }
    }

    /// One block of unit variance.
    pub fn block(&mut self) -> Block {
        std::array::from_fn(|_| self.draw())
    }
}
