//! Noise at the repeater's receiver, and what its own transmitter adds to it.

use super::dsp::gauss::Gauss;
use super::dsp::iir::smoothing;
use super::dsp::{BLOCK, ComplexBlock, RATE_HZ, STEP_S, db_to_amplitude};
use super::receiver::Receiver;
use super::rng::stream;
use super::scenario::{Desense, DesenseKind};
use super::schedule::human_s;
use rand::RngExt;
use rand_chacha::ChaCha8Rng;

/// The noise floor.
#[derive(Debug, Clone)]
pub struct Floor {
    settings: Desense,
    noise: Gauss,
    rng: ChaCha8Rng,
    was_on: bool,
    arcing: bool,
    left_s: f64,
}

impl Floor {
    /// A quiet floor.
    #[must_use]
    pub fn new(settings: &Desense, seed: u64) -> Self {
        Self {
            settings: *settings,
            noise: Gauss::new(seed, "repeater noise"),
            rng: stream(seed, "arcing"),
            was_on: false,
            arcing: false,
            left_s: 0.0,
        }
    }

    /// Adds one step of noise while the transmitter's carrier has this amplitude; returns the
    /// floor's rise in dB.
    ///
    /// A rise of D dB means noise power `1 + (10^(D/10) - 1) a^2` times the quiet floor's.
    pub fn step(&mut self, signal: &mut ComplexBlock, receiver: &Receiver, carrier: f64) -> f64 {
        self.switch(carrier > 0.5);
        let added = 10f64.powf(self.settings.db / 10.0) - 1.0;
        let active = self.settings.kind == DesenseKind::Constant || self.arcing;
        let power = if active {
            1.0 + added * carrier * carrier
        } else {
            1.0
        };
        self.noise
            .add_complex(signal, receiver.noise_rms() * power.sqrt());
        if self.arcing && carrier > 0.5 {
            self.crackle(signal, receiver);
        }
        10.0 * power.log10()
    }

    /// Whether a joint arcs at this moment.
    #[must_use]
    pub const fn arcing(&self) -> bool {
        self.arcing
    }

    fn switch(&mut self, on: bool) {
        if self.settings.kind == DesenseKind::Constant {
            return;
        }
        self.left_s -= STEP_S;
        if !on {
            self.arcing = false;
        } else if !self.was_on || self.left_s <= 0.0 {
            self.arcing = self.rng.random_bool(self.settings.share);
            self.left_s = human_s(&mut self.rng, self.settings.dwell_s, 0.8);
        }
        self.was_on = on;
    }

    /// Impulses at random moments, each of random height and phase.
    fn crackle(&mut self, signal: &mut ComplexBlock, receiver: &Receiver) {
        let chance = smoothing(1.0 / RATE_HZ, 1.0 / self.settings.crackle_per_s.max(1e-9));
        let height = db_to_amplitude(self.settings.crackle_db) * receiver.impulse_height();
        for i in 0..BLOCK {
            if self.rng.random::<f64>() < chance {
                signal.re[i] += height as f32 * self.noise.draw();
                signal.im[i] += height as f32 * self.noise.draw();
            }
        }
    }
}
