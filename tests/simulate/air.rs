//! Carriers with noise through the simulator's own modulator, noise and receiver.

use std::f64::consts::TAU;
use tailbeat::simulate::dsp::fir::Taps;
use tailbeat::simulate::dsp::gauss::Gauss;
use tailbeat::simulate::dsp::{BLOCK, Block, RATE_HZ, db_to_amplitude};
use tailbeat::simulate::fm::Modulator;
use tailbeat::simulate::receiver::Receiver;
use tailbeat::simulate::scenario::Channel;

/// The channel of all checks here: a nearly rectangular 16 kHz filter.
pub const CHANNEL: Channel = Channel::Wide;

/// Steps after which the receiver's filter is full and its detector at rest.
const SETTLE: usize = 40;

/// What reaches the receiver.
#[derive(Clone, Copy)]
pub struct Air {
    /// Carrier-to-noise ratio; `None` is no carrier.
    pub cnr_db: Option<f64>,
    /// Peak deviation of a 1 kHz tone.
    pub deviation_hz: f64,
    /// Without noise only the modulation is left.
    pub noise: bool,
}

impl Air {
    pub const fn carrier(cnr_db: f64) -> Self {
        Self {
            cnr_db: Some(cnr_db),
            deviation_hz: 0.0,
            noise: true,
        }
    }

    pub const fn toned(cnr_db: f64, deviation_hz: f64) -> Self {
        Self {
            cnr_db: Some(cnr_db),
            deviation_hz,
            noise: true,
        }
    }

    pub const NONE: Self = Self {
        cnr_db: None,
        deviation_hz: 0.0,
        noise: true,
    };

    /// Instantaneous frequency in hertz, `seconds` of it.
    ///
    /// While the receiver settles there is no noise, so that the phase starts from a known one.
    pub fn received(self, seconds: f64, seed: u64) -> Vec<f32> {
        let mut receiver = Receiver::new(CHANNEL);
        let mut noise = Gauss::new(seed, "air");
        let mut modulator = Modulator::default();
        let amplitude = self.cnr_db.map_or(0.0, db_to_amplitude) as f32;
        let steps = (seconds * RATE_HZ) as usize / BLOCK;
        let mut out = Vec::with_capacity(steps * BLOCK);
        for step in 0..SETTLE + steps {
            let mut block = modulator.modulate(&self.modulation(step));
            block
                .re
                .iter_mut()
                .chain(&mut block.im)
                .for_each(|x| *x *= amplitude);
            if self.noise && (step >= SETTLE || self.cnr_db.is_none()) {
                noise.add_complex(&mut block, receiver.noise_rms());
            }
            let hz = receiver.receive(block);
            if step >= SETTLE {
                out.extend(hz);
            }
        }
        out
    }

    fn modulation(self, step: usize) -> Block {
        std::array::from_fn(|i| {
            let t = (step * BLOCK + i) as f64 / RATE_HZ;
            (self.deviation_hz * (TAU * 1000.0 * t).sin()) as f32
        })
    }
}

/// The receiver's filter, for the theory.
pub fn filter() -> Taps {
    CHANNEL.selectivity()
}
