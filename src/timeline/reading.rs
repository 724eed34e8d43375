//! Reads one block under every kind of listening that it might be, and keeps the likeliest.

use super::decode::{Stretch, decode};
use super::emission::{Fit, Floors};
use super::grammar::{self, Grammar, Role};
use super::levels::{Floor, NoiseTemplate, Relative, floors};
use super::tones::ToneRun;
use super::types::ListeningMode;
use crate::acoustics::frames::FrameBlock;
use crate::tuning::timeline as tuning;

/// A block as it was read.
pub struct Reading {
    /// The grammar that fits best.
    pub grammar: Grammar,
    /// The stretches under it.
    pub stretches: Vec<Stretch>,
    /// Frames relative to unquieted noise.
    pub relative: Vec<Relative>,
    /// What unquieted noise sounds like.
    pub template: NoiseTemplate,
    /// The floors supposed.
    pub floors: Floors,
}

/// Reads a block. `stated` restricts the kinds of listening; `before` is the kind of the block
/// before, which has a start.
pub fn read(
    block: &FrameBlock,
    tones: &[ToneRun],
    stated: Option<ListeningMode>,
    before: Option<ListeningMode>,
) -> Reading {
    let template = NoiseTemplate::learn(&block.frames).unwrap_or_else(|| NoiseTemplate::guess(&block.frames));
    let relative: Vec<Relative> = block.frames.iter().map(|f| template.relative(f)).collect();
    let rests = floors(&relative);
    let mut tone = vec![false; relative.len()];
    for run in tones {
        tone[run.from..run.to.min(relative.len())].fill(true);
    }
    let mut best: Option<(f64, Reading)> = None;
    for (grammar, floors) in suppositions(&rests) {
        if stated.is_some_and(|mode| mode != grammar.mode) {
            continue;
        }
        let fits: Vec<Fit> = relative.iter().zip(&tone).map(|(r, t)| floors.fit(r, *t)).collect();
        let (stretches, fit) = decode(&grammar, &fits);
        let score = fit + prior(&grammar, &floors, &stretches) + if before == Some(grammar.mode) { 30.0 } else { 0.0 };
        if best.as_ref().is_none_or(|(top, _)| score > *top) {
            let relative = Vec::new();
            best = Some((score, Reading { grammar, stretches, relative, template, floors }));
        }
    }
    match best {
        Some((_, reading)) => Reading { relative, ..reading },
        None => {
            let grammar = grammar::squelched();
            let floors = Floors { mute: rests.first().copied(), quiet: None, noise_sd: NOISE_SD_DB };
            let fits: Vec<Fit> = relative.iter().zip(&tone).map(|(r, t)| floors.fit(r, *t)).collect();
            let (stretches, _) = decode(&grammar, &fits);
            Reading { grammar, stretches, relative, template, floors }
        }
    }
}

/// Spread allowed to unquieted noise about its template: steady noise's own and some drift.
const NOISE_SD_DB: f32 = 2.6;
/// The same through a loudspeaker, a room and an automatic gain control.
const NOISE_SD_ROOM_DB: f32 = 3.6;
/// At most this many floors are tried.
const FLOORS_TRIED: usize = 5;

/// Every way to take the floors found.
fn suppositions(rests: &[Floor]) -> Vec<(Grammar, Floors)> {
    let mut heavy: Vec<Floor> = rests.to_vec();
    heavy.sort_by(|a, b| b.share.total_cmp(&a.share));
    heavy.truncate(FLOORS_TRIED);
    heavy.sort_by(|a, b| a.mid.total_cmp(&b.mid));
    let mut all = Vec::new();
    for (i, low) in heavy.iter().enumerate() {
        let alone = |noise_sd| Floors { mute: None, quiet: Some(*low), noise_sd };
        all.push((grammar::open_squelch(), alone(NOISE_SD_DB)));
        all.push((grammar::bursts_only(), alone(NOISE_SD_ROOM_DB)));
        for high in &heavy[i + 1..] {
            if high.mid - low.mid >= tuning::FLOORS_APART_DB {
                let pair = Floors { mute: Some(*low), quiet: Some(*high), noise_sd: NOISE_SD_DB };
                all.push((grammar::squelched(), pair));
            }
        }
        let mute_only = Floors { mute: Some(*low), quiet: None, noise_sd: NOISE_SD_DB };
        all.push((grammar::squelched(), mute_only));
    }
    all
}

/// Log prior of a reading: more suppositions cost, and readings that contradict the trade cost.
fn prior(grammar: &Grammar, floors: &Floors, stretches: &[Stretch]) -> f64 {
    let mut log = 0.0;
    if floors.mute.is_some() && floors.quiet.is_some() {
        log -= 15.0;
    }
    let roles = |role: Role| stretches.iter().filter(move |s| grammar.nodes[s.node].role == role);
    if grammar.mode == ListeningMode::OpenSquelch {
        // Nobody's squelch is open without hiss being heard for a while.
        let hiss: usize = roles(Role::Off).map(|s| s.to - s.from).sum();
        if hiss == 0 {
            log -= 60.0;
        }
    }
    if grammar.mode == ListeningMode::BurstsOnly && roles(Role::RepeaterBurst).chain(roles(Role::ListenerBurst)).count() == 0 {
        log -= 20.0;
    }
    log
}
