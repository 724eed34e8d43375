//! The listener's set.

use super::dsp::gauss::Gauss;
use super::dsp::iir::{Chain, DeEmphasis};
use super::dsp::{BLOCK, Block, ComplexBlock, STEP_S, db_to_amplitude};
use super::ledger::Spans;
use super::path::PathGain;
use super::receiver::Receiver;
use super::rng::stream;
use super::scenario::{Deafness, ListenerSquelch, Scanning, Scenario, Squelch};
use super::squelch::{NoiseSquelch, ToneSquelch};
use rand::RngExt;
use rand_chacha::ChaCha8Rng;

/// A receiver on the repeater's output, up to its loudspeaker.
#[derive(Debug, Clone)]
pub struct Set {
    cnr_db: f64,
    path: PathGain,
    kind: ListenerSquelch,
    receiver: Receiver,
    noise: Gauss,
    squelch: NoiseSquelch,
    tone: Option<ToneSquelch>,
    deafness: Deafness,
    scanner: Option<Scanner>,
    de_emphasis: Option<DeEmphasis>,
    band: Chain,
    offset_hz: f32,
    scale: f32,
    gate: f32,
    level_db: Option<f64>,
    /// Audio is open.
    pub open: Spans,
    /// A carrier is seen.
    pub sees: Spans,
    /// A scanning set stays on the channel.
    pub landed: Spans,
}

/// Rise of a deafened set's noise floor: above any carrier.
const DEAF_DB: f64 = 70.0;

impl Set {
    /// The set of a scene.
    #[must_use]
    pub fn new(scene: &Scenario, seed: u64) -> Self {
        let set = &scene.listener;
        let squelch = Squelch {
            opens_at_cnr_db: set.opens_at_cnr_db,
            hysteresis_db: set.hysteresis_db,
            opening_s: set.opening_s,
            closing_s: set.closing_s,
        };
        let tone = match (set.squelch, scene.repeater.transmitter.ctcss_hz) {
            (ListenerSquelch::Tone, Some(hz)) => Some(ToneSquelch::new(scene.channel, hz, 0.0)),
            _ => None,
        };
        let volume = db_to_amplitude(set.volume_dbfs) / scene.channel.rated_deviation_hz();
        Self {
            cnr_db: set.cnr_db,
            path: PathGain::new(&set.path, scene.band_mhz, seed, "listener path"),
            kind: set.squelch,
            receiver: Receiver::new(scene.channel),
            noise: Gauss::new(seed, "listener noise"),
            squelch: NoiseSquelch::new(scene.channel, &squelch),
            tone,
            deafness: set.deafness,
            scanner: set.scanning.map(|s| Scanner::new(s, seed)),
            de_emphasis: set.de_emphasis.then(DeEmphasis::default),
            band: Chain::band(set.low_hz, set.high_hz),
            offset_hz: set.tuning_hz as f32,
            scale: volume as f32,
            gate: 0.0,
            level_db: None,
            open: Spans::default(),
            sees: Spans::default(),
            landed: Spans::default(),
        }
    }

    /// One step: the repeater's carrier, if any, to sound.
    pub fn step(&mut self, t_s: f64, carrier: Option<ComplexBlock>, deaf: bool) -> Block {
        let slow_db = self.cnr_db + self.path.slow_db(t_s);
        let mut signal = ComplexBlock::ZERO;
        self.level_db = carrier.map(|carrier| {
            signal = carrier;
            self.path.apply(&mut signal, slow_db);
            slow_db + self.path.fade_db()
        });
        if carrier.is_none() {
            self.path.idle();
        }
        let rise = if deaf { db_to_amplitude(DEAF_DB) } else { 1.0 };
        self.noise
            .add_complex(&mut signal, self.receiver.noise_rms() * rise);
        let mut sound = self.receiver.receive(signal);
        let open = self.gate(t_s, &sound, deaf);
        // The discriminator sits off zero by the error of tuning, so a gate gives a thump.
        sound.iter_mut().for_each(|x| *x += self.offset_hz);
        if let Some(de_emphasis) = &mut self.de_emphasis {
            de_emphasis.run(&mut sound);
        }
        let goal = f32::from(u8::from(open));
        for x in &mut sound {
            self.gate += GATE_SHARE * (goal - self.gate);
            *x *= self.gate * self.scale;
        }
        self.band.run(&mut sound);
        sound
    }

    /// Level of the repeater over the set's floor in the last step.
    #[must_use]
    pub const fn level_db(&self) -> Option<f64> {
        self.level_db
    }

    fn gate(&mut self, t_s: f64, hz: &Block, deaf: bool) -> bool {
        let noise_open = self.squelch.step(self.receiver.detector_hz());
        let tone_open = self.tone.as_mut().map(|tone| tone.step(hz));
        let sees = self.squelch.sees() && !deaf;
        let blanked = deaf && self.deafness == Deafness::Blanked;
        let landed = self
            .scanner
            .as_mut()
            .is_none_or(|s| s.step(t_s, noise_open && sees));
        let squelch_open = match self.kind {
            ListenerSquelch::Open => true,
            ListenerSquelch::Noise => noise_open,
            ListenerSquelch::Tone => noise_open && tone_open.unwrap_or(true),
        };
        let open = squelch_open && landed && !blanked;
        self.open.set(t_s, open);
        self.sees.set(t_s, sees);
        self.landed.set(t_s, landed);
        open
    }
}

/// Share of the way that the audio gate goes in one sample: about 1 ms.
const GATE_SHARE: f32 = 1.0 / (BLOCK as f32 * 0.4);

/// Which channel a scanning set is on.
#[derive(Debug, Clone)]
struct Scanner {
    settings: Scanning,
    rng: ChaCha8Rng,
    lands_s: Option<f64>,
    landed: bool,
    quiet_s: f64,
}

impl Scanner {
    fn new(settings: Scanning, seed: u64) -> Self {
        let rng = stream(seed, "scanner");
        Self {
            settings,
            rng,
            lands_s: None,
            landed: false,
            quiet_s: 0.0,
        }
    }

    fn step(&mut self, t_s: f64, carrier: bool) -> bool {
        if self.landed {
            self.quiet_s = if carrier { 0.0 } else { self.quiet_s + STEP_S };
            if self.quiet_s > self.settings.stay_s {
                self.landed = false;
                self.lands_s = None;
            }
            return self.landed;
        }
        if !carrier {
            self.lands_s = None;
            return false;
        }
        let round = self.settings.round_s;
        let lands = *self
            .lands_s
            .get_or_insert_with(|| t_s + self.rng.random::<f64>() * round);
        self.landed = t_s >= lands;
        self.quiet_s = 0.0;
        self.landed
    }
}
