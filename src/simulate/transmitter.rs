//! The repeater's transmitter and what ails it.

use super::controller::Orders;
use super::dsp::iir::Chain;
use super::dsp::{BLOCK, Block, ComplexBlock, RATE_HZ, STEP_S};
use super::fm::Modulator;
use super::rng::stream;
use super::scenario::{Channel, TailEnd, Transmitter as Settings, TransmitterFault};
use super::schedule::human_s;
use super::squelch::CTCSS_SHARE;
use rand_chacha::ChaCha8Rng;
use std::f64::consts::{PI, TAU};

/// A transmitter.
#[derive(Debug, Clone)]
pub struct Transmitter {
    settings: Settings,
    rated_hz: f64,
    splatter: Chain,
    modulator: Modulator,
    keyed_s: f64,
    amplitude: f64,
    tone_phase: f64,
    hum_phase: f64,
    fault: Option<Fault>,
}

#[derive(Debug, Clone)]
struct Fault {
    settings: TransmitterFault,
    rng: ChaCha8Rng,
    out: bool,
    left_s: f64,
}

/// Rise and fall of the carrier once it moves: well below one step.
const EDGE_S: f64 = 0.001;
/// Time in which a chirp dies out.
const CHIRP_S: f64 = 0.012;
/// A supply sags this long before it gives up.
const SAG_S: f64 = 0.35;

impl Transmitter {
    /// A transmitter at rest.
    #[must_use]
    pub fn new(settings: &Settings, channel: Channel, seed: u64) -> Self {
        let fault = settings.fault.map(|settings| {
            let mut rng = stream(seed, "transmitter fault");
            let left_s = human_s(&mut rng, settings.on_s, settings.on_spread);
            Fault {
                settings,
                rng,
                out: false,
                left_s,
            }
        });
        Self {
            settings: *settings,
            rated_hz: channel.rated_deviation_hz(),
            splatter: Chain::band(0.0, 3300.0),
            modulator: Modulator::default(),
            keyed_s: 0.0,
            amplitude: 0.0,
            tone_phase: 0.0,
            hum_phase: 0.0,
            fault,
        }
    }

    /// Carrier amplitude at the end of the last step, 0 to 1.
    #[must_use]
    pub const fn amplitude(&self) -> f64 {
        self.amplitude
    }

    /// One step: the user's audio in hertz of deviation, as it came from the receiver. The
    /// carrier is returned while there is one.
    pub fn step(&mut self, orders: &Orders, audio_hz: &Block) -> Option<ComplexBlock> {
        self.keyed_s = if orders.keyed {
            self.keyed_s + STEP_S
        } else {
            0.0
        };
        let up = orders.keyed && self.keyed_s > self.settings.rise_s && !self.failing(orders.keyed);
        let from = self.amplitude;
        self.amplitude = f64::from(up);
        if from == 0.0 && !up {
            return None;
        }
        let mut deviation = self.audio(orders, audio_hz);
        self.add_tones(orders, &mut deviation);
        let mut carrier = self.modulator.modulate(&deviation);
        if from != self.amplitude {
            for i in 0..BLOCK {
                let x = ((i + 1) as f64 / RATE_HZ / EDGE_S).min(1.0);
                let gain = (from + x * (self.amplitude - from)) as f32;
                carrier.re[i] *= gain;
                carrier.im[i] *= gain;
            }
        }
        Some(carrier)
    }

    /// Limiter and splatter filter.
    fn audio(&mut self, orders: &Orders, audio_hz: &Block) -> Block {
        let limit = self.rated_hz as f32;
        let mut out = orders.tones;
        for (o, x) in out.iter_mut().zip(audio_hz) {
            *o = (*o * limit + x).clamp(-limit, limit);
        }
        self.splatter.run(&mut out);
        out
    }

    /// Sub-audible tone, hum, chirp, sag.
    fn add_tones(&mut self, orders: &Orders, deviation: &mut Block) {
        let set = &self.settings;
        let leaving = orders.leaves_in_s.is_some_and(|s| s <= set.tail_end_s);
        let (tone, shift) = match set.tail_end {
            _ if set.ctcss_hz.is_none() => (0.0, 0.0),
            TailEnd::ReverseBurst if leaving => (CTCSS_SHARE, PI),
            TailEnd::ToneFirst if leaving => (0.0, 0.0),
            TailEnd::ToneWithInput if !orders.pass => (0.0, 0.0),
            _ => (CTCSS_SHARE, 0.0),
        };
        let tone_step = TAU * set.ctcss_hz.unwrap_or(0.0) / RATE_HZ;
        let hum_step = TAU * set.hum_hz / RATE_HZ;
        let sag = self.fault.as_ref().map_or(0.0, Fault::sag);
        let (sag_hz, sag_hum) = self
            .fault
            .as_ref()
            .map_or((0.0, 0.0), |f| (f.settings.sag_hz, f.settings.sag_hum));
        let hum = set.hum + sag * sag_hum;
        let on_s = (self.keyed_s - set.rise_s).max(0.0);
        for (i, o) in deviation.iter_mut().enumerate() {
            self.tone_phase += tone_step;
            self.hum_phase += hum_step;
            let mut add = tone * (self.tone_phase + shift).sin();
            if hum > 0.0 {
                // A rectifier's hum has overtones.
                let p = self.hum_phase;
                add += hum * (0.7 * p.sin() + 0.25 * (2.0 * p).sin() + 0.12 * (3.0 * p).sin());
            }
            let t = on_s + i as f64 / RATE_HZ;
            let drift = set.chirp_hz * (-t / CHIRP_S).exp() + sag * sag_hz;
            *o += (add * self.rated_hz + drift) as f32;
        }
        self.tone_phase %= TAU;
        self.hum_phase %= TAU;
    }

    fn failing(&mut self, keyed: bool) -> bool {
        self.fault.as_mut().is_some_and(|fault| fault.step(keyed))
    }
}

impl Fault {
    fn step(&mut self, keyed: bool) -> bool {
        let set = self.settings;
        if self.out && set.until_rekeyed {
            if !keyed {
                self.out = false;
                self.left_s = human_s(&mut self.rng, set.on_s, set.on_spread);
            }
            return self.out;
        }
        if keyed || self.out {
            self.left_s -= STEP_S;
        }
        if self.left_s <= 0.0 {
            self.out = !self.out;
            let (mean, spread) = if self.out {
                (set.off_s, set.off_spread)
            } else {
                (set.on_s, set.on_spread)
            };
            self.left_s = human_s(&mut self.rng, mean, spread);
        }
        self.out
    }

    /// 0 long before a drop-out, 1 at it.
    fn sag(&self) -> f64 {
        if self.out {
            1.0
        } else {
            (1.0 - self.left_s / SAG_S).clamp(0.0, 1.0)
        }
    }
}
