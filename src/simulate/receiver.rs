//! An FM receiver up to its discriminator, with the detector of a noise-operated squelch.

use super::dsp::fir::{ComplexFir, Taps};
use super::dsp::gauss::Gauss;
use super::dsp::iir::{Chain, smoothing};
use super::dsp::{BLOCK, Block, ComplexBlock, RATE_HZ, STEP_S, db_to_amplitude};
use super::fm::{Discriminator, Modulator};
use super::scenario::Channel;
use std::sync::OnceLock;

impl Channel {
    /// Peak deviation that the channel allows.
    #[must_use]
    pub const fn rated_deviation_hz(self) -> f64 {
        match self {
            Self::Wide => 5000.0,
            Self::Narrow => 2500.0,
        }
    }

    /// The receiver's selectivity: near rectangular, 16 kHz or 9 kHz of noise bandwidth.
    #[must_use]
    pub fn selectivity(self) -> Taps {
        match self {
            Self::Wide => Taps::brick_wall(8000.0, 49, 4.5),
            Self::Narrow => Taps::brick_wall(4500.0, 65, 4.5),
        }
    }

    /// Band above the voice in which the squelch measures noise.
    const fn squelch_band_hz(self) -> (f64, f64) {
        match self {
            Self::Wide => (4200.0, 7800.0),
            Self::Narrow => (3300.0, 4800.0),
        }
    }
}

/// Time constant of the squelch's noise detector.
const DETECTOR_S: f64 = 0.012;

/// Receiver from antenna to discriminator.
#[derive(Debug, Clone)]
pub struct Receiver {
    filter: ComplexFir,
    discriminator: Discriminator,
    squelch_band: Chain,
    noise_rms: f64,
    impulse: f64,
    detector_hz: f64,
}

impl Receiver {
    /// A receiver that has heard noise so far.
    #[must_use]
    pub fn new(channel: Channel) -> Self {
        let mut receiver = Self::with_selectivity(channel, &channel.selectivity());
        receiver.detector_hz = QuietingCurve::of(channel).detector_hz(-40.0);
        receiver
    }

    fn with_selectivity(channel: Channel, taps: &Taps) -> Self {
        let (low, high) = channel.squelch_band_hz();
        Self {
            filter: ComplexFir::new(taps),
            discriminator: Discriminator::default(),
            squelch_band: Chain::steep_band(low, high),
            noise_rms: taps.energy().sqrt().recip(),
            impulse: taps.peak().recip(),
            detector_hz: 0.0,
        }
    }

    /// rms of white noise before the filter that has unit power behind it: the quiet noise floor.
    /// A carrier of amplitude `a` then has a carrier-to-noise ratio of `20 log10 a`.
    #[must_use]
    pub const fn noise_rms(&self) -> f64 {
        self.noise_rms
    }

    /// Height of a one-sample impulse before the filter whose peak behind it is 1.
    #[must_use]
    pub const fn impulse_height(&self) -> f64 {
        self.impulse
    }

    /// Everything at the antenna to instantaneous frequency in hertz.
    pub fn receive(&mut self, mut signal: ComplexBlock) -> Block {
        self.filter.process(&mut signal);
        let hz = self.discriminator.demodulate(&signal);
        let mut noise = hz;
        self.squelch_band.run(&mut noise);
        let mean = noise.iter().map(|x| f64::from(x.abs())).sum::<f64>() / BLOCK as f64;
        self.detector_hz += smoothing(STEP_S, DETECTOR_S) * (mean - self.detector_hz);
        hz
    }

    /// Mean absolute noise in the squelch band, smoothed.
    #[must_use]
    pub const fn detector_hz(&self) -> f64 {
        self.detector_hz
    }
}

/// What the squelch's detector reads at each carrier-to-noise ratio: an unmodulated carrier sent
/// through [`Receiver`], once for each channel width.
#[derive(Debug)]
pub struct QuietingCurve(Vec<f64>);

const CURVE_FROM_DB: f64 = -8.0;
const CURVE_STEP_DB: f64 = 1.0;
const CURVE_POINTS: usize = 29;
/// Enough that a reading is good to 0.1 dB of carrier-to-noise ratio or better.
const CURVE_POINT_S: f64 = 0.6;

impl QuietingCurve {
    /// The curve of a channel width.
    #[must_use]
    pub fn of(channel: Channel) -> &'static Self {
        static WIDE: OnceLock<QuietingCurve> = OnceLock::new();
        static NARROW: OnceLock<QuietingCurve> = OnceLock::new();
        match channel {
            Channel::Wide => WIDE.get_or_init(|| Self::measure(channel)),
            Channel::Narrow => NARROW.get_or_init(|| Self::measure(channel)),
        }
    }

    fn measure(channel: Channel) -> Self {
        let taps = channel.selectivity();
        let points = (0..CURVE_POINTS).map(|i| {
            let cnr_db = CURVE_FROM_DB + CURVE_STEP_DB * i as f64;
            // No carrier at all for the first point.
            let amplitude = if i == 0 {
                0.0
            } else {
                db_to_amplitude(cnr_db) as f32
            };
            let mut receiver = Receiver::with_selectivity(channel, &taps);
            let mut noise = Gauss::new(0, "quieting curve");
            let mut carrier = Modulator::default().modulate(&[0.0; BLOCK]);
            carrier.re.iter_mut().for_each(|x| *x *= amplitude);
            carrier.im.iter_mut().for_each(|x| *x *= amplitude);
            let steps = (CURVE_POINT_S / STEP_S) as usize;
            let settle = 40;
            let mut sum = 0.0;
            for step in 0..steps + settle {
                let mut block = carrier;
                noise.add_complex(&mut block, receiver.noise_rms());
                receiver.receive(block);
                sum += if step < settle {
                    0.0
                } else {
                    receiver.detector_hz()
                };
            }
            sum / steps as f64
        });
        Self(points.collect())
    }

    /// Reading at a carrier-to-noise ratio, log-interpolated; the ends hold beyond the table.
    #[must_use]
    pub fn detector_hz(&self, cnr_db: f64) -> f64 {
        let x = ((cnr_db - CURVE_FROM_DB) / CURVE_STEP_DB).clamp(0.0, (CURVE_POINTS - 1) as f64);
        let i = (x as usize).min(CURVE_POINTS - 2);
        let (a, b) = (self.0[i].ln(), self.0[i + 1].ln());
        (a + (x - i as f64) * (b - a)).exp()
    }
}

/// Time from one block to the next, for tests and callers that count in steps.
#[must_use]
pub fn seconds_to_steps(span_s: f64) -> usize {
    (span_s * RATE_HZ / BLOCK as f64).round().max(0.0) as usize
}

#[cfg(test)]
mod tests {
    use super::QuietingCurve;
    use crate::simulate::scenario::Channel;

    #[test]
    fn the_detector_falls_as_the_carrier_rises() {
        for channel in [Channel::Wide, Channel::Narrow] {
            let curve = QuietingCurve::of(channel);
            for db in -4..18 {
                let (a, b) = (
                    curve.detector_hz(f64::from(db)),
                    curve.detector_hz(f64::from(db) + 1.0),
                );
                assert!(b < a, "{channel:?} at {db} dB: {a} then {b}");
            }
        }
    }
}
