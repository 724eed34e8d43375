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

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    const RATED_HZ: f32 = 5_000.0;

    fn deviation(kind: SourceKind, seed: u64, blocks: usize) -> Vec<f32> {
        let mut signals = Signals::new(kind, f64::from(RATED_HZ), seed);
        signals.begin();
        (0..blocks).flat_map(|_| signals.block(RATED_HZ)).collect()
    }

    #[test]
    fn packets_are_two_tones_of_equal_chance() {
        let sound = deviation(SourceKind::Packets, 5, 2_000);
        let seconds = sound.len() as f64 / RATE_HZ;
        let rises = (sound.windows(2).filter(|w| w[0] <= 0.0 && w[1] > 0.0)).count();
        // 1200 and 2200 Hz: their middle, and a tenth of what lies between as the scatter of chance.
        let mean_hz = rises as f64 / seconds;
        assert!((mean_hz - 1_700.0).abs() < 100.0, "{mean_hz}");
        let peak = sound.iter().fold(0.0f32, |a, x| a.max(x.abs()));
        assert!((peak / RATED_HZ - 0.6).abs() < 1e-3, "{peak}");
    }

    #[test]
    fn data_changes_at_the_bits_clock_alone() {
        let mut bits = Bits::new(7);
        let sent: Vec<bool> = (0..BIT_SAMPLES * 400).map(|_| bits.step()).collect();
        let changes: Vec<usize> = (1..sent.len())
            .filter(|i| sent[*i] != sent[i - 1])
            .collect();
        assert!(changes.iter().all(|i| i.is_multiple_of(BIT_SAMPLES)));
        assert!((140..260).contains(&changes.len()), "{}", changes.len());
    }

    #[test]
    fn telemetry_is_a_frame_in_four_levels_between_quiet_carrier() {
        let mut frame = Frame::new(11);
        let mut levels = BTreeSet::new();
        for _ in 0..20 {
            frame.begin();
            let sent: Vec<f32> = (0..(2.0 * RATE_HZ) as usize)
                .map(|_| frame.step())
                .collect();
            let first = sent.iter().position(|x| *x != 0.0).unwrap();
            let last = sent.iter().rposition(|x| *x != 0.0).unwrap();
            let s = |samples: usize| samples as f64 / RATE_HZ;
            assert!((0.01..0.4).contains(&s(first)), "{first}");
            assert!((0.049..1.5).contains(&s(last + 1 - first)), "{last}");
            let body = &sent[first..=last];
            levels.extend(body.iter().map(|x| (x * 10.0) as i32));
            // What is left of a symbol, whole symbols, nothing between.
            let changes = (1..body.len()).filter(|i| body[*i] != body[i - 1]);
            let clock = body.len() % SYMBOL_SAMPLES;
            for at in changes {
                assert_eq!(at % SYMBOL_SAMPLES, clock, "{at} of {}", body.len());
            }
        }
        assert!(levels.iter().eq(&[-6, -2, 2, 6]), "{levels:?}");
    }

    #[test]
    fn a_call_is_quiet_sounds_and_is_quiet_again() {
        for seed in 0..12 {
            let sound = deviation(SourceKind::Calls, seed, 600);
            let first = sound.iter().position(|x| *x != 0.0).unwrap() as f64 / RATE_HZ;
            let last = sound.iter().rposition(|x| *x != 0.0).unwrap() as f64 / RATE_HZ;
            assert!((0.019..0.31).contains(&first), "{first}");
            assert!((0.02..2.0).contains(&(last - first)), "{last}");
            let peak = sound.iter().fold(0.0f32, |a, x| a.max(x.abs()));
            assert!((0.3..=1.05).contains(&(peak / RATED_HZ)), "{peak}");
        }
    }
}
