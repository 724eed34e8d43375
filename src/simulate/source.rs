//! What a recording may hold instead of a repeater.

use super::dsp::gauss::Gauss;
use super::dsp::iir::Biquad;
use super::dsp::{BLOCK, Block, ComplexBlock, RATE_HZ, STEP_S, db_to_amplitude};
use super::fm::Modulator;
use super::rng::stream;
use super::scenario::{Scenario, Source, SourceKind};
use super::schedule::{Press, human_s, pressed};
use super::signals::Signals;
use super::voice::Voice;
use rand::RngExt;
use std::f64::consts::TAU;

/// When it sounds: the length of each burst and the time from start to start vary alike.
fn bursts(source: &Source, end_s: f64, seed: u64) -> Vec<Press> {
    let mut rng = stream(seed, "source bursts");
    let mut at = rng.random_range(0.0..1.0) * source.every_s.min(3.0);
    let mut all = Vec::new();
    while at < end_s {
        let every = human_s(&mut rng, source.every_s, source.spread);
        let length = human_s(&mut rng, source.length_s, source.spread).min(every * 0.97);
        all.push([at, at + length]);
        at += every.max(0.02);
    }
    all
}

/// A transmitter that is no repeater.
pub(super) struct Direct {
    presses: Vec<Press>,
    keyed: bool,
    signals: Signals,
    modulator: Modulator,
    rated_hz: f32,
}

impl Direct {
    pub(super) fn new(scene: &Scenario, source: &Source, end_s: f64, seed: u64) -> Self {
        let rated = scene.channel.rated_deviation_hz();
        Self {
            presses: bursts(source, end_s, seed),
            keyed: false,
            signals: Signals::new(source.kind, rated, seed),
            modulator: Modulator::default(),
            rated_hz: rated as f32,
        }
    }

    /// One step; the carrier while there is one.
    pub(super) fn step(&mut self, t_s: f64) -> Option<ComplexBlock> {
        let keyed = pressed(&self.presses, t_s);
        if keyed && !self.keyed {
            self.signals.begin();
        }
        self.keyed = keyed;
        keyed.then(|| self.modulator.modulate(&self.signals.block(self.rated_hz)))
    }

    pub(super) const fn keyed(&self) -> bool {
        self.keyed
    }
}

/// Sound that does not come by radio, at [`RATE_HZ`].
pub(super) fn sound(source: &Source, end_s: f64, seed: u64) -> Vec<f32> {
    let steps = (end_s / STEP_S).ceil() as usize;
    let presses = bursts(source, end_s, seed);
    let mut player: Box<dyn FnMut(f64) -> Block> = match source.kind {
        SourceKind::Silence => Box::new(|_| [0.0; BLOCK]),
        SourceKind::Speech
        | SourceKind::Simplex
        | SourceKind::DataBursts
        | SourceKind::Packets
        | SourceKind::Calls
        | SourceKind::Telemetry => {
            let mut voice = Voice::new(None, seed, "source voice");
            let mut was = false;
            Box::new(move |t| {
                let on = pressed(&presses, t);
                if on && !was {
                    voice.begin();
                }
                was = on;
                // A phrase is spoken to its end.
                if on || voice.speaking() {
                    voice.block()
                } else {
                    [0.0; BLOCK]
                }
            })
        }
        SourceKind::Music => music(seed),
        SourceKind::Noise => {
            let mut noise = Gauss::new(seed, "source noise");
            Box::new(move |_| noise.block().map(|x| x * 0.3))
        }
        SourceKind::NoiseBursts => {
            let mut noise = Gauss::new(seed, "source noise");
            Box::new(move |t| {
                let on = f32::from(u8::from(pressed(&presses, t)));
                noise.block().map(|x| x * 0.3 * on)
            })
        }
        SourceKind::Beeps => {
            let mut rng = stream(seed, "beeps");
            let hz = rng.random_range(400.0..2500.0);
            let mut phase = 0.0f64;
            Box::new(move |t| {
                let on = f32::from(u8::from(pressed(&presses, t)));
                std::array::from_fn(|_| {
                    phase = (phase + TAU * hz / RATE_HZ) % TAU;
                    phase.sin() as f32 * on
                })
            })
        }
    };
    let gain = db_to_amplitude(source.level_dbfs) as f32;
    let play = |step| player(step as f64 * STEP_S).map(|x| x * gain);
    (0..steps).flat_map(play).collect()
}

/// Notes with overtones over a beat: a melody that wanders on a scale, a bass, a brush.
fn music(seed: u64) -> Box<dyn FnMut(f64) -> Block> {
    let mut rng = stream(seed, "music");
    let mut noise = Gauss::new(seed, "music brush");
    let beat_s = rng.random_range(0.28..0.6);
    let root_hz = rng.random_range(160.0..330.0);
    let scale = [0, 2, 4, 7, 9, 12, 14, 16];
    let mut degree = 3i32;
    let mut brush = Biquad::high_pass(3000.0, 0.7);
    let (mut beat, mut struck_s) = (-1i64, 0.0);
    let (mut hz, mut bass_hz) = (root_hz, root_hz / 2.0);
    let (mut phase, mut bass_phase) = (0.0f64, 0.0f64);
    let mut loud = 1.0;
    Box::new(move |t| {
        let now = (t / beat_s) as i64;
        if now != beat {
            beat = now;
            struck_s = t;
            degree = (degree + rng.random_range(-2..=2)).clamp(0, 7);
            loud = if rng.random_bool(0.15) {
                0.0
            } else {
                rng.random_range(0.5..1.0)
            };
            hz = root_hz * 2f64.powf(f64::from(scale[degree as usize]) / 12.0);
            if beat % 4 == 0 {
                let step = [0.0, 5.0, 7.0][rng.random_range(0..3)];
                bass_hz = root_hz / 2.0 * 2f64.powf(step / 12.0);
            }
        }
        std::array::from_fn(|i| {
            let age = t - struck_s + i as f64 / RATE_HZ;
            phase = (phase + TAU * hz / RATE_HZ) % TAU;
            bass_phase = (bass_phase + TAU * bass_hz / RATE_HZ) % TAU;
            let ring = loud * (-age / 0.35).exp() * (1.0 - (-age / 0.004).exp());
            let melody: f64 = (1..6)
                .map(|k| (f64::from(k) * phase).sin() / f64::from(k))
                .sum();
            let bass = bass_phase.sin() + 0.4 * (2.0 * bass_phase).sin();
            let hit = brush.step(f64::from(noise.draw())) * (-age / 0.03).exp();
            (0.35 * ring * melody + 0.25 * bass + 0.08 * hit) as f32
        })
    })
}
