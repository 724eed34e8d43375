//! The closed loop: one step of the whole chain after the other.

use super::SoundFiles;
use super::controller::{Controller, Orders};
use super::dsp::gauss::Gauss;
use super::dsp::iir::Chain;
use super::dsp::{BLOCK, Block, ComplexBlock, STEP_S, db_to_amplitude};
use super::floor::Floor;
use super::ledger::{Ledger, LevelMark, Spans, ToneMark};
use super::link::FarEnd;
use super::receiver::Receiver;
use super::scenario::Scenario;
use super::set::Set;
use super::source::{self, Direct};
use super::squelch::{NoiseSquelch, ToneSquelch};
use super::station::Station;
use super::transmitter::Transmitter;
use super::truth::LEVEL_STEP_S;
use crate::error::Result;

/// Receiver, squelch, controller and transmitter of the repeater, with its users.
pub(super) struct RepeaterSite {
    stations: Vec<Station>,
    floor: Floor,
    receiver: Receiver,
    squelch: NoiseSquelch,
    tone: Option<ToneSquelch>,
    band: Chain,
    gain: f32,
    controller: Controller,
    transmitter: Transmitter,
    far: Option<(FarEnd, Gauss, f64)>,
    rated_hz: f32,
    near_keyed: bool,
    floor_rise_db: f64,
    input: Spans,
    keyed: Spans,
    arcing: Spans,
}

impl RepeaterSite {
    pub(super) fn new(scene: &Scenario, end_s: f64, seed: u64, files: &SoundFiles) -> Result<Self> {
        let repeater = &scene.repeater;
        Ok(Self {
            stations: Station::all(scene, end_s, seed, files)?,
            floor: Floor::new(&repeater.desense, seed),
            receiver: Receiver::new(scene.channel),
            squelch: NoiseSquelch::new(scene.channel, &repeater.squelch),
            tone: repeater
                .tone
                .map(|t| ToneSquelch::new(scene.channel, t.ctcss_hz, t.drop_s)),
            band: Chain::steep_band(repeater.audio.low_hz, repeater.audio.high_hz),
            gain: db_to_amplitude(repeater.audio.gain_db) as f32,
            controller: Controller::new(repeater),
            transmitter: Transmitter::new(&repeater.transmitter, scene.channel, seed),
            far: scene.link.as_ref().map(|link| {
                (
                    FarEnd::new(link),
                    Gauss::new(seed, "link noise"),
                    link.noise,
                )
            }),
            rated_hz: scene.channel.rated_deviation_hz() as f32,
            near_keyed: false,
            floor_rise_db: 0.0,
            input: Spans::default(),
            keyed: Spans::default(),
            arcing: Spans::default(),
        })
    }

    /// One step; the carrier while there is one.
    ///
    /// The receiver's audio goes to the transmitter flat: de-emphasis and pre-emphasis would
    /// cancel there.
    pub(super) fn step(&mut self, t_s: f64) -> Option<ComplexBlock> {
        let mut signal = ComplexBlock::ZERO;
        let mut keyed = false;
        for station in &mut self.stations {
            keyed |= station.step(t_s, &mut signal);
        }
        self.keyed.set(t_s, keyed);
        let carrier = self.transmitter.amplitude();
        self.floor_rise_db = self.floor.step(&mut signal, &self.receiver, carrier);
        self.arcing.set(t_s, self.floor.arcing());
        let mut audio = self.receiver.receive(signal);
        let mut good = self.squelch.step(self.receiver.detector_hz());
        if let Some(tone) = &mut self.tone {
            good &= tone.step(&audio);
        }
        self.band.run(&mut audio);
        let gain = if good { self.gain } else { 0.0 };
        audio.iter_mut().for_each(|x| *x *= gain);
        let orders = self.order(t_s, good, &mut audio);
        self.near_keyed = orders.keyed;
        self.input.set(t_s, orders.pass);
        if !orders.pass {
            audio = [0.0; BLOCK];
        }
        self.transmitter.step(&orders, &audio)
    }

    /// The controller's orders, after what comes by the link.
    fn order(&mut self, t_s: f64, good: bool, audio: &mut Block) -> Orders {
        let Some((far, noise, level)) = &mut self.far else {
            return self.controller.step(t_s, good);
        };
        let (linked, tones) = far.step(t_s, self.near_keyed);
        if linked {
            let level = *level as f32;
            for (a, tone) in audio.iter_mut().zip(tones) {
                *a += self.rated_hz * (tone + level * noise.draw());
            }
        }
        self.controller.step(t_s, good || linked)
    }
}

/// Where the carrier comes from.
enum Origin {
    Repeater(Box<RepeaterSite>),
    Direct(Box<Direct>),
}

impl Origin {
    /// One step; the carrier while there is one, and whether it is up.
    fn step(&mut self, t_s: f64) -> (Option<ComplexBlock>, bool) {
        match self {
            Self::Repeater(site) => {
                let carrier = site.step(t_s);
                (carrier, site.transmitter.amplitude() > 0.5)
            }
            Self::Direct(direct) => {
                let carrier = direct.step(t_s);
                (carrier, direct.keyed())
            }
        }
    }

    fn deafens(&self) -> bool {
        match self {
            Self::Repeater(site) => site.stations.iter().any(Station::deafens),
            Self::Direct(_) => false,
        }
    }

    fn levels(&self) -> (Option<f64>, f64) {
        match self {
            Self::Repeater(site) => {
                let keyed = site.stations.iter().filter(|s| s.keyed());
                (
                    keyed.map(Station::level_db).max_by(f64::total_cmp),
                    site.floor_rise_db,
                )
            }
            Self::Direct(_) => (None, 0.0),
        }
    }

    fn write_down(self, ledger: &mut Ledger) {
        let Self::Repeater(site) = self else { return };
        let end_s = ledger.end_s;
        ledger.input = site.input.close(end_s);
        ledger.keyed = site.keyed.close(end_s);
        ledger.arcing = site.arcing.close(end_s);
        ledger.tones = site.controller.marks;
        if let Some((far, ..)) = &site.far {
            let by_link = far.marks().iter().map(|mark| ToneMark {
                by_input: true,
                ..*mark
            });
            ledger.tones.extend(by_link);
        }
        ledger
            .tones
            .extend(site.stations.iter().flat_map(Station::marks));
        ledger.tones.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
    }
}

/// Plays the whole scene: the sound of the listener's set, and what happened.
pub(super) fn play(scene: &Scenario, seed: u64, files: &SoundFiles) -> Result<(Vec<f32>, Ledger)> {
    let end_s = scene.lead_in_s + scene.duration_s;
    let mut ledger = Ledger {
        end_s,
        ..Ledger::default()
    };
    let mut origin = match &scene.source {
        Some(source) if !source.kind.by_radio() => {
            return Ok((source::sound(source, end_s, seed), ledger));
        }
        Some(source) => Origin::Direct(Box::new(Direct::new(scene, source, end_s, seed))),
        None => Origin::Repeater(Box::new(RepeaterSite::new(scene, end_s, seed, files)?)),
    };
    let steps = (end_s / STEP_S).ceil() as usize;
    let mut set = Set::new(scene, seed);
    let mut sound = Vec::with_capacity(steps * BLOCK);
    let mut carrier = Spans::default();
    let level_every = (LEVEL_STEP_S / STEP_S).round() as usize;
    for step in 0..steps {
        let t_s = step as f64 * STEP_S;
        let (signal, up) = origin.step(t_s);
        carrier.set(t_s, up);
        sound.extend_from_slice(&set.step(t_s, signal, origin.deafens()));
        if step % level_every == 0 {
            let (user_cnr_db, floor_rise_db) = origin.levels();
            let listener_cnr_db = set.level_db();
            ledger.levels.push(LevelMark {
                t_s,
                user_cnr_db,
                floor_rise_db,
                listener_cnr_db,
            });
        }
    }
    ledger.carrier = carrier.close(end_s);
    ledger.open = set.open.close(end_s);
    ledger.sees = set.sees.close(end_s);
    ledger.landed = scene.listener.scanning.map(|_| set.landed.close(end_s));
    origin.write_down(&mut ledger);
    Ok((sound, ledger))
}
