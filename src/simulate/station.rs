//! A user's transmitter: sound, deviation, level at the repeater.

use super::SoundFiles;
use super::any_sound::AnySound;
use super::dsp::{BLOCK, Block, ComplexBlock, RATE_HZ};
use super::fm::{Modulator, Speaker};
use super::ledger::ToneMark;
use super::path::PathGain;
use super::scenario::{Modulation, Scenario, Speech, Traffic, User};
use super::schedule::{Press, conversation, kerchunks, pressed};
use super::squelch::CTCSS_SHARE;
use super::tone::{Player, dtmf, dtmf_hz};
use super::truth::TrueEventKind;
use super::voice::Voice;
use crate::error::{Error, Result};
use std::f64::consts::TAU;

/// A user on the air.
#[derive(Debug, Clone)]
pub struct Station {
    presses: Vec<Press>,
    base: Base,
    path: PathGain,
    sound: Sound,
    speaker: Speaker,
    modulator: Modulator,
    ctcss_hz: f64,
    ctcss_deviation_hz: f64,
    ctcss_phase: f64,
    offset_hz: f64,
    near_listener: bool,
    keyed: bool,
    level_db: f64,
    slow_db: f64,
}

#[derive(Debug, Clone, PartialEq)]
enum Base {
    Steady(f64),
    /// Level that just holds, and the table of back-off steps.
    Stepped(f64, Vec<[f64; 2]>),
}

#[derive(Debug, Clone)]
enum Sound {
    Voice(Box<Voice>),
    Any(Box<AnySound>),
    Tone {
        hz: f64,
        phase: f64,
    },
    Silence,
    Dtmf {
        digits: String,
        player: Player,
    },
    File {
        samples: std::sync::Arc<Vec<f32>>,
        at: usize,
    },
}

impl Station {
    /// All users of a scene: those on schedule, then those who talk by turns.
    ///
    /// # Errors
    /// A sound file that the scene names is not among `files`.
    pub fn all(scene: &Scenario, end_s: f64, seed: u64, files: &SoundFiles) -> Result<Vec<Self>> {
        let mut stations = Vec::new();
        for (i, user) in scene.users.iter().enumerate() {
            let mut presses = user.hold.clone();
            if let Some(settings) = &user.kerchunks {
                presses.extend(kerchunks(settings, end_s, seed, &format!("kerchunks {i}")));
            }
            stations.push(Self::new(
                scene,
                user,
                presses,
                seed,
                &format!("user {i}"),
                files,
            )?);
        }
        if let Some(traffic) = &scene.traffic {
            for (i, presses) in conversation(traffic, end_s, seed).into_iter().enumerate() {
                let user = talker(traffic, i, seed);
                stations.push(Self::new(
                    scene,
                    &user,
                    presses,
                    seed,
                    &format!("talker {i}"),
                    files,
                )?);
            }
        }
        Ok(stations)
    }

    fn new(
        scene: &Scenario,
        user: &User,
        presses: Vec<Press>,
        seed: u64,
        label: &str,
        files: &SoundFiles,
    ) -> Result<Self> {
        let rated = scene.channel.rated_deviation_hz();
        let wanted = scene.repeater.tone.map_or(0.0, |tone| tone.ctcss_hz);
        Ok(Self {
            presses,
            base: base(scene, user),
            path: PathGain::new(&user.path, scene.band_mhz, seed, &format!("{label} path")),
            sound: sound(scene.speech, user, seed, label, files)?,
            speaker: Speaker::new(user.deviation * rated),
            modulator: Modulator::default(),
            ctcss_hz: user.ctcss_hz.unwrap_or(wanted),
            ctcss_deviation_hz: CTCSS_SHARE * rated,
            ctcss_phase: 0.0,
            offset_hz: user.offset_hz,
            near_listener: user.near_listener,
            keyed: false,
            level_db: f64::NEG_INFINITY,
            slow_db: 0.0,
        })
    }

    /// Adds one step of this user's signal at the repeater; returns whether the key is held.
    pub fn step(&mut self, t_s: f64, signal: &mut ComplexBlock) -> bool {
        let keyed = pressed(&self.presses, t_s);
        let began = keyed && !self.keyed;
        self.keyed = keyed;
        self.slow_db = self.path.slow_db(t_s);
        if !keyed {
            self.path.idle();
            return false;
        }
        let mut deviation = self.sound.block(began);
        self.speaker.run(&mut deviation);
        self.add_ctcss(&mut deviation);
        let mut carrier = self.modulator.modulate(&deviation);
        let db = self.base.at(t_s) + self.slow_db;
        self.path.apply(&mut carrier, db);
        self.level_db = db + self.path.fade_db();
        for i in 0..BLOCK {
            signal.re[i] += carrier.re[i];
            signal.im[i] += carrier.im[i];
        }
        true
    }

    /// Level of the last step over the quiet floor, fading included.
    #[must_use]
    pub const fn level_db(&self) -> f64 {
        self.level_db
    }

    /// Whether the key is held.
    #[must_use]
    pub const fn keyed(&self) -> bool {
        self.keyed
    }

    /// Whether the key is held beside the listener's set.
    #[must_use]
    pub const fn deafens(&self) -> bool {
        self.near_listener && self.keyed
    }

    /// Tones that this user sends on purpose, whether or not the repeater hears them.
    #[must_use]
    pub fn marks(&self) -> Vec<ToneMark> {
        let mark = |start_s, end_s, frequency_hz, digit| ToneMark {
            kind: TrueEventKind::Tone,
            start_s,
            end_s,
            frequency_hz,
            wpm: None,
            digit,
            by_input: true,
        };
        match &self.sound {
            Sound::Tone { hz, .. } => self
                .presses
                .iter()
                .map(|[start, end]| mark(*start, *end, *hz, None))
                .collect(),
            Sound::Dtmf { digits, .. } => (self.presses.iter())
                .flat_map(|[start, end]| {
                    digits.chars().enumerate().filter_map(move |(i, digit)| {
                        let at = start + 0.2 * i as f64;
                        let hz = dtmf_hz(digit)?;
                        (at + 0.12 <= *end).then(|| mark(at, at + 0.12, hz[0], Some(digit)))
                    })
                })
                .collect(),
            _ => Vec::new(),
        }
    }

    fn add_ctcss(&mut self, deviation: &mut Block) {
        let offset = self.offset_hz as f32;
        if self.ctcss_hz <= 0.0 {
            deviation.iter_mut().for_each(|x| *x += offset);
            return;
        }
        for x in deviation.iter_mut() {
            self.ctcss_phase += TAU * self.ctcss_hz / RATE_HZ;
            *x += (self.ctcss_deviation_hz * self.ctcss_phase.sin()) as f32 + offset;
        }
        self.ctcss_phase %= TAU;
    }
}

/// One of the people who talk by turns.
fn talker(traffic: &Traffic, index: usize, seed: u64) -> User {
    use rand::RngExt;
    let mut rng = super::rng::stream(seed, &format!("talker level {index}"));
    let [low, high] = traffic.margin_db;
    User {
        margin_db: Some(low + rng.random::<f64>() * (high - low)),
        path: traffic.path.clone(),
        near_listener: index < traffic.near_listener,
        deviation: rng.random_range(0.6..0.95),
        ..User::default()
    }
}

/// Levels follow from the squelch: opening at T with the transmitter off, holding down to
/// T - h + D with it on.
fn base(scene: &Scenario, user: &User) -> Base {
    let squelch = scene.repeater.squelch;
    let opens = squelch.opens_at_cnr_db;
    let holds = opens - squelch.hysteresis_db + scene.repeater.desense.db;
    if let Some(table) = &user.backoff {
        return Base::Stepped(holds, table.clone());
    }
    Base::Steady(match (user.cnr_db, user.in_window) {
        (Some(cnr_db), _) => cnr_db,
        (None, Some(place)) => opens + place * (holds - opens),
        (None, None) => opens + user.margin_db.unwrap_or(DEFAULT_MARGIN_DB),
    })
}

/// A user of whom the scenario says nothing is strong.
const DEFAULT_MARGIN_DB: f64 = 20.0;

impl Base {
    fn at(&self, t_s: f64) -> f64 {
        match self {
            Self::Steady(db) => *db,
            Self::Stepped(holds, table) => {
                let row = table
                    .iter()
                    .rev()
                    .find(|[start, _]| *start <= t_s)
                    .or(table.first());
                holds - row.map_or(0.0, |row| row[1])
            }
        }
    }
}

fn sound(speech: Speech, user: &User, seed: u64, label: &str, files: &SoundFiles) -> Result<Sound> {
    Ok(match user.modulation {
        Modulation::Speech if speech == Speech::Anything => {
            Sound::Any(Box::new(AnySound::new(seed, label)))
        }
        Modulation::Speech => Sound::Voice(Box::new(Voice::new(user.pitch_hz, seed, label))),
        Modulation::Tone => Sound::Tone {
            hz: user.tone_hz,
            phase: 0.0,
        },
        Modulation::Silence => Sound::Silence,
        Modulation::Dtmf => Sound::Dtmf {
            digits: user.digits.clone(),
            player: Player::default(),
        },
        Modulation::File => {
            let name = user.file.clone().unwrap_or_default();
            let samples = files.get(&name).ok_or_else(|| Error::BadSetting {
                place: format!("key `user.file` = \"{name}\""),
                what: "no such sound was loaded".into(),
                remedy: "put the file where the scenario names it".into(),
            })?;
            Sound::File {
                samples: samples.clone(),
                at: 0,
            }
        }
    })
}

impl Sound {
    /// The next block, peaks near 1; `began` at the press of the key.
    fn block(&mut self, began: bool) -> Block {
        let mut out = [0.0; BLOCK];
        match self {
            Self::Voice(voice) => {
                if began {
                    voice.begin();
                }
                out = voice.block();
            }
            Self::Any(sound) => {
                if began {
                    sound.begin();
                }
                out = sound.block();
            }
            Self::Tone { hz, phase } => {
                for o in &mut out {
                    *phase += TAU * *hz / RATE_HZ;
                    *o = phase.sin() as f32;
                }
                *phase %= TAU;
            }
            Self::Silence => {}
            Self::Dtmf { digits, player } => {
                if began {
                    player.play(dtmf(digits));
                }
                player.add(&mut out, 0.8);
            }
            Self::File { samples, at } => {
                if samples.is_empty() {
                    return out;
                }
                for o in &mut out {
                    *o = samples[*at];
                    *at = (*at + 1) % samples.len();
                }
            }
        }
        out
    }
}
