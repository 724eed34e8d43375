//! Reads one block under every kind of listening that it might be, and keeps the likeliest.

use super::decode::{Stretch, decode};
use super::emission::{Fit, Floors, Kind};
use super::grammar::{self, Grammar, Role};
use super::levels::{Floor, NoiseTemplate, Relative, floors};
use super::tones::ToneRun;
use super::types::ListeningMode;
use crate::acoustics::frames::FrameBlock;
use crate::statistics::quantiles::median;
use crate::tuning::acoustics::FRAME_HOP_S;
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
}

/// Reads a block. `stated` restricts the kinds of listening; `before` is the kind of the block
/// before, which has a start.
pub fn read(
    block: &FrameBlock,
    tones: &[ToneRun],
    stated: Option<ListeningMode>,
    before: Option<ListeningMode>,
) -> Reading {
    let template =
        NoiseTemplate::learn(&block.frames).unwrap_or_else(|| NoiseTemplate::guess(&block.frames));
    let relative: Vec<Relative> = block.frames.iter().map(|f| template.relative(f)).collect();
    let rests = floors(&relative);
    let mut tone = vec![false; relative.len()];
    for run in tones {
        tone[run.from..run.to.min(relative.len())].fill(true);
    }
    let mut best: Option<(f64, Reading)> = None;
    for (grammar, floors) in suppositions(&rests, template.second.is_some()) {
        if stated.is_some_and(|mode| mode != grammar.mode) {
            continue;
        }
        let fits: Vec<Fit> = relative
            .iter()
            .zip(&tone)
            .map(|(r, t)| floors.fit(&template, r, *t))
            .collect();
        let (stretches, fit) = decode(&grammar, &fits);
        let score = fit
            + prior(&grammar, &floors, &stretches)
            + if before == Some(grammar.mode) {
                30.0
            } else {
                0.0
            };
        if best.as_ref().is_none_or(|(top, _)| score > *top) {
            let relative = Vec::new();
            best = Some((
                score,
                Reading {
                    grammar,
                    stretches,
                    relative,
                    template,
                },
            ));
        }
    }
    match best {
        Some((_, reading)) => Reading {
            relative,
            ..reading
        },
        None => {
            let grammar = grammar::squelched();
            let floors = Floors {
                mute: rests.first().copied(),
                quiet: None,
                users: Vec::new(),
                noise_sd: NOISE_SD_DB,
                pumping: false,
                repeater_noise: Kind::First,
                listener_noise: Kind::First,
            };
            let fits: Vec<Fit> = relative
                .iter()
                .zip(&tone)
                .map(|(r, t)| floors.fit(&template, r, *t))
                .collect();
            let (stretches, _) = decode(&grammar, &fits);
            Reading {
                grammar,
                stretches,
                relative,
                template,
            }
        }
    }
}

/// Spread allowed to unquieted noise about its template: steady noise's own and some drift.
const NOISE_SD_DB: f32 = 1.6;
/// The same through a loudspeaker, a room and an automatic gain control.
const NOISE_SD_ROOM_DB: f32 = 3.0;
/// At most this many floors are tried.
const FLOORS_TRIED: usize = 5;

/// Every way to take the floors found.
fn suppositions(rests: &[Floor], two_kinds: bool) -> Vec<(Grammar, Floors)> {
    let mut heavy: Vec<Floor> = rests.to_vec();
    heavy.sort_by(|a, b| b.share.total_cmp(&a.share));
    heavy.truncate(FLOORS_TRIED);
    heavy.sort_by(|a, b| a.mid.total_cmp(&b.mid));
    let kinds: &[(Kind, Kind)] = if two_kinds {
        &[
            (Kind::First, Kind::Second),
            (Kind::Second, Kind::First),
            (Kind::First, Kind::First),
        ]
    } else {
        &[(Kind::First, Kind::First)]
    };
    let mut all = Vec::new();
    // Steady levels above the quiet carrier's are users without speech.
    let above = |quiet: &Floor| -> Vec<Floor> {
        heavy
            .iter()
            .filter(|f| f.mid >= quiet.mid + tuning::FLOORS_APART_DB)
            .copied()
            .collect()
    };
    for (i, low) in heavy.iter().enumerate() {
        for (repeater_noise, listener_noise) in kinds.iter().copied() {
            let floors = |mute: Option<&Floor>, quiet: Option<&Floor>, noise_sd: f32| Floors {
                mute: mute.copied(),
                quiet: quiet.copied(),
                users: above(quiet.unwrap_or(low)),
                noise_sd,
                pumping: false,
                repeater_noise,
                listener_noise,
            };
            all.push((
                grammar::open_squelch(),
                floors(None, Some(low), NOISE_SD_DB),
            ));
            let alone = floors(None, Some(low), NOISE_SD_ROOM_DB);
            all.push((grammar::with_pauses(grammar::bursts_only()), alone.clone()));
            all.push((grammar::bursts_only(), alone));
            if (repeater_noise, listener_noise) == (Kind::First, Kind::First) {
                let pumped = Floors {
                    pumping: true,
                    ..floors(None, Some(low), NOISE_SD_ROOM_DB)
                };
                all.push((grammar::open_squelch(), pumped.clone()));
                all.push((grammar::with_pauses(grammar::bursts_only()), pumped.clone()));
                all.push((grammar::bursts_only(), pumped));
            }
            for high in heavy[i + 1..]
                .iter()
                .filter(|h| h.mid - low.mid >= tuning::FLOORS_APART_DB)
            {
                let pair = floors(Some(low), Some(high), NOISE_SD_DB);
                all.push((grammar::with_pauses(grammar::squelched()), pair.clone()));
                all.push((grammar::squelched(), pair));
                all.push((
                    grammar::no_gaps(),
                    floors(Some(low), Some(high), NOISE_SD_DB),
                ));
            }
        }
    }
    all
}

/// Log prior of a reading: more suppositions cost, and readings that contradict the trade cost.
fn prior(grammar: &Grammar, floors: &Floors, stretches: &[Stretch]) -> f64 {
    let mut log = 0.0;
    let roles = |role: Role| {
        stretches
            .iter()
            .filter(move |s| grammar.nodes[s.node].role == role)
    };
    let longest = (tuning::BURST_MAX_S / FRAME_HOP_S) as usize;
    if let (Some(mute), Some(quiet)) = (&floors.mute, &floors.quiet) {
        let near = f64::from((tuning::FLOORS_USUAL_DB - (quiet.mid - mute.mid)).max(0.0));
        log -= 15.0 + tuning::FLOORS_NEAR_LOG * near;
    }
    for s in stretches {
        if matches!(
            grammar.nodes[s.node].role,
            Role::RepeaterBurst | Role::ListenerBurst
        ) {
            log -= 0.5 * (s.to - s.from).saturating_sub(longest) as f64;
        }
    }
    if grammar.mode == ListeningMode::NoGaps {
        log -= 40.0;
        // Where there is much mute to be heard, nothing cut it out.
        let mute: usize = roles(Role::Off).map(|s| s.to - s.from).sum();
        let all: usize = stretches.iter().map(|s| s.to - s.from).sum();
        if mute as f64 > tuning::CUT_MUTE_SHARE * all as f64 {
            log -= 1000.0;
        }
    }
    if grammar.fills_gaps() {
        log -= 25.0;
    }
    if floors.pumping {
        log -= 10.0;
    }
    if grammar.mode == ListeningMode::BurstsOnly && gaps_equal_tails(grammar, stretches) {
        // Tails read as gaps every other time.
        log -= tuning::SWAPPED_LOG;
    }
    log -= bare_transmissions(grammar, stretches) as f64 * tuning::BARE_LOG;
    if grammar.mode == ListeningMode::OpenSquelch {
        // Nobody's squelch is open without hiss being heard for a while.
        if roles(Role::Off).count() == 0 {
            log -= 60.0;
        }
        // Hiss no longer than a squelch tail is more likely one.
        log -= 6.0 * roles(Role::Off).filter(|s| s.to - s.from < longest).count() as f64;
    }
    if grammar.mode == ListeningMode::BurstsOnly
        && roles(Role::RepeaterBurst)
            .chain(roles(Role::ListenerBurst))
            .count()
            == 0
    {
        log -= 20.0;
    }
    log
}

/// Transmissions of which nothing marks the end: no burst of noise, no tail.
fn bare_transmissions(grammar: &Grammar, stretches: &[Stretch]) -> usize {
    let tail = (tuning::TAIL_MIN_S / FRAME_HOP_S) as usize;
    let role = |s: &Stretch| grammar.nodes[s.node].role;
    stretches
        .split(|s| role(s) == Role::Off)
        .filter(|over| !over.is_empty())
        .filter(|over| {
            let marked = over.iter().any(|s| {
                matches!(role(s), Role::RepeaterBurst | Role::ListenerBurst)
                    || role(s) == Role::Quiet && s.to - s.from >= tail
            });
            !marked
        })
        .count()
}

/// The pauses without a carrier are as long, and as constant, as the tails.
fn gaps_equal_tails(grammar: &Grammar, stretches: &[Stretch]) -> bool {
    let lengths = |role: Role| -> Vec<f64> {
        stretches
            .iter()
            .filter(|s| grammar.nodes[s.node].role == role)
            .map(|s| (s.to - s.from) as f64)
            .collect()
    };
    let (gaps, tails) = (lengths(Role::Off), lengths(Role::Quiet));
    if gaps.len() < 4 || tails.len() < 4 {
        return false;
    }
    let (Some(gap), Some(tail)) = (median(&gaps), median(&tails)) else {
        return false;
    };
    let like = gaps
        .iter()
        .filter(|g| (*g - gap).abs() <= 0.06 * gap)
        .count();
    (gap - tail).abs() <= 0.06 * tail && like * 3 >= gaps.len() * 2
}
