//! What a transmitter that is no repeater sends: talk, data, packets, calls in tones.

use super::dsp::iir::Chain;
use super::dsp::{BLOCK, Block, RATE_HZ};
use super::fm::Speaker;
use super::rng::stream;
use super::scenario::SourceKind;
use super::tone::{DTMF_KEYS, Note, Player, dtmf};
use super::voice::Voice;
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use std::f64::consts::TAU;

/// Samples of one bit at 1200 bit/s.
const BIT_SAMPLES: usize = 40;

/// Mark and space of packets at 1200 bit/s (Bell 202, from memory).
const PACKET_HZ: [f64; 2] = [1200.0, 2200.0];

/// Samples of one symbol at 4800 symbols a second.
const SYMBOL_SAMPLES: usize = 10;

/// One kind of sending, at full deviation 1.
pub(super) enum Signals {
    /// Two who talk in turns.
    Talk {
        voices: Vec<Voice>,
        turn: usize,
        speaker: Speaker,
    },
    /// Bits straight on the carrier.
    Data { bits: Bits, shaper: Chain },
    /// Bits as two tones.
    Packets { bits: Bits, phase: f64 },
    /// A row of tones or of keypad digits, then a quiet carrier.
    Calls { rng: ChaCha8Rng, player: Player },
    /// A lead-in, a frame in four levels, then a quiet carrier.
    Telemetry { frame: Frame, shaper: Chain },
}

/// One frame of symbols by chance, behind a moment of quiet carrier.
pub(super) struct Frame {
    rng: ChaCha8Rng,
    /// Samples before the first symbol.
    lead: usize,
    /// Samples that are left of the frame.
    left: usize,
    level: f32,
}

impl Frame {
    fn new(seed: u64) -> Self {
        Self {
            rng: stream(seed, "telemetry"),
            lead: 0,
            left: 0,
            level: 0.0,
        }
    }

    fn begin(&mut self) {
        let samples = |s: f64| (s * RATE_HZ) as usize;
        self.lead = samples(self.rng.random_range(0.01..0.4));
        self.left = samples(self.rng.random_range(0.05f64..1.5));
    }

    /// The next sample, as a share of the rated deviation.
    fn step(&mut self) -> f32 {
        if self.lead > 0 {
            self.lead -= 1;
            return 0.0;
        }
        if self.left == 0 {
            return 0.0;
        }
        if self.left.is_multiple_of(SYMBOL_SAMPLES) {
            self.level = [-0.6, -0.2, 0.2, 0.6][self.rng.random_range(0..4)];
        }
        self.left -= 1;
        self.level
    }
}

/// Bits by chance at 1200 bit/s.
pub(super) struct Bits {
    rng: ChaCha8Rng,
    left: usize,
    bit: bool,
}

impl Bits {
    fn new(seed: u64) -> Self {
        Self {
            rng: stream(seed, "data"),
            left: 0,
            bit: true,
        }
    }

    /// The bit of the next sample.
    fn step(&mut self) -> bool {
        if self.left == 0 {
            self.left = BIT_SAMPLES;
            self.bit = self.rng.random();
        }
        self.left -= 1;
        self.bit
    }
}

impl Signals {
    pub(super) fn new(kind: SourceKind, rated_hz: f64, seed: u64) -> Self {
        match kind {
            SourceKind::DataBursts => Self::Data {
                bits: Bits::new(seed),
                shaper: Chain::band(0.0, 1500.0),
            },
            SourceKind::Packets => Self::Packets {
                bits: Bits::new(seed),
                phase: 0.0,
            },
            SourceKind::Calls => Self::Calls {
                rng: stream(seed, "calls"),
                player: Player::default(),
            },
            SourceKind::Telemetry => Self::Telemetry {
                frame: Frame::new(seed),
                shaper: Chain::band(0.0, 3000.0),
            },
            _ => Self::Talk {
                voices: (0..2)
                    .map(|i| Voice::new(None, seed, &format!("simplex {i}")))
                    .collect(),
                turn: 0,
                speaker: Speaker::new(0.8 * rated_hz),
            },
        }
    }

    /// The transmitter is keyed.
    pub(super) fn begin(&mut self) {
        match self {
            Self::Talk { voices, turn, .. } => {
                *turn = 1 - *turn;
                voices[*turn].begin();
            }
            Self::Calls { rng, player } => player.play(call(rng)),
            Self::Telemetry { frame, .. } => frame.begin(),
            Self::Data { .. } | Self::Packets { .. } => {}
        }
    }

    /// One block of deviation in hertz.
    pub(super) fn block(&mut self, rated_hz: f32) -> Block {
        let mut sound = [0.0; BLOCK];
        match self {
            Self::Talk {
                voices,
                turn,
                speaker,
            } => {
                sound = voices[*turn].block();
                speaker.run(&mut sound);
            }
            Self::Data { bits, shaper } => {
                for o in &mut sound {
                    *o = if bits.step() { 0.55 } else { -0.55 } * rated_hz;
                }
                shaper.run(&mut sound);
            }
            Self::Packets { bits, phase } => {
                for o in &mut sound {
                    *phase = (*phase + TAU * PACKET_HZ[usize::from(bits.step())] / RATE_HZ) % TAU;
                    *o = phase.sin() as f32 * 0.6 * rated_hz;
                }
            }
            Self::Telemetry { frame, shaper } => {
                for o in &mut sound {
                    *o = frame.step() * rated_hz;
                }
                shaper.run(&mut sound);
            }
            Self::Calls { player, .. } => player.add(&mut sound, 0.5 * f64::from(rated_hz)),
        }
        sound
    }
}

/// Digits of a keypad, or as many tones of one length, after a moment's quiet.
fn call(rng: &mut ChaCha8Rng) -> Vec<Note> {
    let mut notes = vec![Note::rest(rng.random_range(0.02..0.3))];
    let count = rng.random_range(1..8);
    if rng.random() {
        let mut digit = || {
            let keys = DTMF_KEYS[rng.random_range(0..4)];
            char::from(keys.as_bytes()[rng.random_range(0..4)])
        };
        let digits: String = (0..count).map(|_| digit()).collect();
        notes.extend(dtmf(&digits));
    } else {
        let each_s = rng.random_range(0.033..0.12);
        notes.extend((0..count).map(|_| Note::tone(rng.random_range(600.0..2700.0), each_s)));
    }
    notes
}
