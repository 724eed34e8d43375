//! Hours of ordinary traffic, each chain's as one stream.

use super::stream::Stream;
use crate::cli::prove::judging;
use crate::cli::prove::making::Maker;
use crate::error::Result;
use crate::intake;
use crate::live::Raised;
use crate::proving::corpus::{Cell, Corpus};
use crate::proving::ordinary::{self, Turn};
use crate::units::{SampleRate, Seconds};

/// A shorter piece of silence has no sound of its own to go on with: where a recorder's gain creeps or a room rings
/// on, a second of it, played to and fro, beats like a hang timer.
pub(super) const SHORTEST_IDLE: Seconds = Seconds(3.0);

/// What was heard.
#[derive(Debug, Clone, Default)]
pub(super) struct Ordinary {
    pub(super) chains: usize,
    pub(super) conversations: usize,
    pub(super) talk: Seconds,
    pub(super) all: Seconds,
    /// Each false alarm with the talk that it was given in or after.
    pub(super) alarms: Vec<(Cell, Raised)>,
}

impl Ordinary {
    fn add(&mut self, other: Self) {
        self.chains += other.chains;
        self.conversations += other.conversations;
        self.talk = self.talk + other.talk;
        self.all = self.all + other.all;
        self.alarms.extend(other.alarms);
    }
}

/// So much of it over these chains together; `heads` name them.
pub(super) fn hear(
    corpus: &Corpus,
    heads: &[Cell],
    maker: &Maker,
    jobs: Option<usize>,
    length: Seconds,
) -> Result<Ordinary> {
    let share = Seconds(length.get() / heads.len().max(1) as f64);
    let parts = judging::each(heads, jobs, |head| {
        let mut heard = Ordinary {
            chains: 1,
            ..Ordinary::default()
        };
        let mut stream = Stream::default();
        for turn in ordinary::day(corpus, &head.chain) {
            if heard.all >= share {
                break;
            }
            heard.add(one(corpus, maker, &mut stream, turn)?);
        }
        Ok(heard)
    })?;
    let mut all = Ordinary::default();
    parts.into_iter().for_each(|part| all.add(part));
    Ok(all)
}

/// Some talk, then nobody on the air.
fn one(corpus: &Corpus, maker: &Maker, stream: &mut Stream, turn: Turn) -> Result<Ordinary> {
    let drawn = corpus.draw(&turn.talk)?;
    let made = maker.make(&drawn)?;
    let mut recording = intake::open(&made.audio)?;
    let rate = recording.rate();
    let samples = |span: Seconds| rate.seconds_to_samples(span) as usize;
    let (from, to) = ordinary::idle(&made.truth).map_or((0, 0), |s| (samples(s.0), samples(s.1)));
    let (mut at, mut idle, mut alarms) = (0, Vec::new(), Vec::new());
    while let Some(block) = recording.next_block()? {
        let length = block.samples.len();
        let within = |edge: usize| edge.saturating_sub(at).min(length);
        idle.extend_from_slice(&block.samples[within(from)..within(to)]);
        at += length;
        alarms.extend(stream.hear(rate, block.samples));
    }
    alarms.extend(rest(stream, rate, idle, samples(turn.silence)));
    // Thousands of them would fill the disk.
    maker.forget(&drawn)?;
    let talk = rate.samples_to_seconds(at as u64);
    Ok(Ordinary {
        chains: 0,
        conversations: 1,
        talk,
        all: talk + turn.silence,
        alarms: (alarms.into_iter())
            .map(|raised| (turn.talk.clone(), raised))
            .collect(),
    })
}

/// What the set sounds like while nobody is on the air, to and fro, so that no seam is heard.
fn rest(stream: &mut Stream, rate: SampleRate, idle: Vec<f32>, length: usize) -> Vec<Raised> {
    let mut piece = idle;
    if piece.len() < rate.seconds_to_samples(SHORTEST_IDLE) as usize {
        piece = vec![0.0; rate.hz() as usize];
    }
    let (mut left, mut alarms) = (length, Vec::new());
    while left > 0 {
        let part = &piece[..piece.len().min(left)];
        alarms.extend(stream.hear(rate, part));
        left -= part.len();
        piece.reverse();
    }
    alarms
}
