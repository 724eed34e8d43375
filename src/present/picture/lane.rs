//! The carrier against time: blocks for transmissions, marks for events.

use super::axis::TimeAxis;
use super::drawing::{Anchor, Drawing};
use super::ink::Role;
use super::marks::{Mark, cut, mark, ragged};
use super::sheet::text_px;
use crate::check::Check;
use crate::present::beat;
use crate::present::wording::{causes, picture as words};
use crate::timeline::types::{Drop, ListeningMode, Transmission};

/// Height of the whole lane in dots.
pub const LANE_PX: f64 = 72.0;
/// Top of the blocks below the lane's top.
const BLOCK_TOP: f64 = 27.0;
/// Height of a block.
const BLOCK_PX: f64 = 26.0;
/// Blocks narrower than this on average are told as a share of time instead.
const NARROWEST_PX: f64 = 3.0;
/// Marks of one kind closer than this run into each other and are left to the close-up.
const MARK_ROOM_PX: f64 = 11.0;

/// What the lane could show, for the legend.
#[derive(Debug, Clone, Default)]
pub struct Shown {
    /// Kinds of mark drawn.
    pub marks: Vec<Mark>,
    /// Whether blocks stand for a share of time.
    pub as_share: bool,
}

/// Draws the part of the timeline that `axis` covers, with the lane's top at `y`.
pub fn draw(drawing: &mut Drawing, axis: &TimeAxis, check: &Check, y: f64) -> Shown {
    let base = y + BLOCK_TOP + BLOCK_PX;
    axis.grid(drawing, y + BLOCK_TOP - 12.0, y + LANE_PX);
    drawing.line(Role::Axis, (axis.x0, base), (axis.x1, base));
    let carrier: Vec<Transmission> = (check.timeline.carrier.iter())
        .filter(|c| c.end.get() > axis.t0 && c.start.get() < axis.t1)
        .collect();
    let mut shown = Shown::default();
    if carrier.is_empty() {
        let middle = ((axis.x0 + axis.x1) / 2.0, base - 9.0);
        drawing.text(
            Role::Soft,
            middle,
            Anchor::Middle,
            words::no_carrier(check.timeline.listening.mode),
        );
    } else if (axis.x1 - axis.x0) / (carrier.len() as f64) < NARROWEST_PX {
        shares(drawing, axis, &carrier, base);
        shown.as_share = true;
    } else {
        for one in &carrier {
            block(drawing, axis, check, one, base);
        }
        if check.timeline.listening.mode == ListeningMode::NoGaps {
            for pair in carrier.windows(2) {
                let x = axis.x((pair[0].end.get() + pair[1].start.get()) / 2.0);
                cut(drawing, (x, base - BLOCK_PX / 2.0), BLOCK_PX + 8.0);
            }
        }
    }
    shown.marks = events(drawing, axis, check, y);
    shown
}

/// Share of each two dots in which the carrier was up, as a height.
fn shares(drawing: &mut Drawing, axis: &TimeAxis, carrier: &[Transmission], base: f64) {
    const STEP_PX: f64 = 2.0;
    let columns = ((axis.x1 - axis.x0) / STEP_PX).ceil() as usize;
    let mut up_px = vec![0.0f64; columns.max(1)];
    for one in carrier {
        let from = axis.x(one.start.get()) - axis.x0;
        let to = axis.x(one.end.get()) - axis.x0;
        let (first, last) = ((from / STEP_PX) as usize, (to / STEP_PX) as usize);
        for (n, up) in up_px.iter_mut().enumerate().take(last + 1).skip(first) {
            let column = n as f64 * STEP_PX;
            *up += (to.min(column + STEP_PX) - from.max(column)).max(0.0);
        }
    }
    let mut d = String::new();
    for (n, up) in up_px.iter().enumerate().filter(|(_, up)| **up > 0.0) {
        let height = (up / STEP_PX).min(1.0) * BLOCK_PX;
        let x = axis.x0 + n as f64 * STEP_PX;
        d += &format!("M{x:.1} {base:.1}v-{height:.1}h{STEP_PX}v{height:.1}z");
    }
    drawing.path(Role::Carrier, &d);
}

/// One transmission; its parts where they are known, a ragged edge where that is not.
fn block(drawing: &mut Drawing, axis: &TimeAxis, check: &Check, one: &Transmission, base: f64) {
    let (x0, x1) = (axis.x(one.start.get()), axis.x(one.end.get()));
    let x1 = x1.max(x0 + 0.8);
    let top = base - BLOCK_PX;
    let inferred = check.timeline.listening.mode == ListeningMode::BurstsOnly;
    let role = if inferred {
        Role::Inferred
    } else {
        Role::Carrier
    };
    let start_known = one.start_known || one.start.get() < axis.t0;
    let end_known = one.end_known || one.end.get() > axis.t1;
    let mut outline = if start_known {
        vec![(x0, top), (x0, base)]
    } else {
        ragged(x0 + 3.0, top, BLOCK_PX)
    };
    if end_known {
        outline.extend([(x1, base), (x1, top)]);
    } else {
        outline.extend(ragged(x1, top, BLOCK_PX).into_iter().rev());
    }
    let drop = (check.timeline.drops.iter())
        .find(|d| d.drop >= one.start && (d.drop - one.end).get().abs() < 0.02);
    match drop.and_then(|d| parts(axis, &d, one)) {
        Some(parts) if start_known && end_known => {
            for (role, from, to) in parts {
                if to > from {
                    drawing.rect(role, from, top, to - from, BLOCK_PX);
                }
            }
        }
        _ => drawing.polygon(role, &outline, true),
    }
}

/// Blip, what lies between, and tail, from left to right.
fn parts(axis: &TimeAxis, drop: &Drop, one: &Transmission) -> Option<[(Role, f64, f64); 3]> {
    let parts = beat::parts(drop)?;
    let lost = one.start + parts.blip?;
    let quiet = one.end - parts.tail?;
    let quiet = if quiet < lost { lost } else { quiet };
    let (a, b) = (axis.x(one.start.get()), axis.x(one.end.get()));
    let (lost, quiet) = (axis.x(lost.get()), axis.x(quiet.get()));
    Some([
        (Role::Blip, a, lost),
        (Role::Between, lost, quiet),
        (Role::Tail, quiet, b),
    ])
}

/// Marks of the kinds that have room; returns those drawn.
fn events(drawing: &mut Drawing, axis: &TimeAxis, check: &Check, y: f64) -> Vec<Mark> {
    let within = |t: f64| t >= axis.t0 && t <= axis.t1;
    let mut drawn = Vec::new();
    for kind in Mark::ALL {
        let times: Vec<f64> = (check.timeline.events.iter())
            .filter(|e| Mark::of(&e.kind) == kind && within(e.t.get()))
            .map(|e| e.t.get())
            .collect();
        let room = (axis.x1 - axis.x0) / times.len().max(1) as f64;
        if times.is_empty() || room < MARK_ROOM_PX {
            continue;
        }
        let row = match kind {
            Mark::Up => y + BLOCK_TOP + BLOCK_PX + 9.0,
            Mark::Loss => y + BLOCK_TOP + BLOCK_PX / 2.0,
            Mark::Down => y + BLOCK_TOP - 7.0,
            _ => y + BLOCK_TOP - 18.0,
        };
        for t in times {
            mark(drawing, kind, (axis.x(t), row));
        }
        drawn.push(kind);
    }
    drawn
}

/// Height that [`episodes`] takes, in dots.
pub const EPISODES_PX: f64 = 34.0;

/// Brackets over the stretches that were judged each for itself, below `y`. The one that carries
/// the verdict is named in any case, on a line of its own; the others where their name fits.
pub fn episodes(drawing: &mut Drawing, axis: &TimeAxis, check: &Check, y: f64) {
    let gravest = super::close_up::gravest(check);
    let foot = y + EPISODES_PX;
    for episode in &check.verdict.episodes {
        let (x0, x1) = (
            axis.x(episode.start.get()) + 1.0,
            axis.x(episode.end.get()) - 1.0,
        );
        let x1 = x1.max(x0 + 2.0);
        let bracket = [(x0, foot), (x0, foot - 5.0), (x1, foot - 5.0), (x1, foot)];
        drawing.polygon(Role::Episode, &bracket, false);
        let word = causes::trade_word(episode.label);
        let (middle, half) = ((x0 + x1) / 2.0, text_px(word, 11.0) / 2.0);
        if gravest.is_some_and(|g| std::ptr::eq(g, episode)) {
            drawing.line(Role::Episode, (middle, foot - 5.0), (middle, foot - 18.0));
            let at = middle.clamp(axis.x0 + half, (axis.x1 - half).max(axis.x0 + half));
            drawing.text(Role::Label, (at, foot - 22.0), Anchor::Middle, word);
        } else if x1 - x0 > 2.0 * half {
            drawing.text(Role::Soft, (middle, foot - 9.0), Anchor::Middle, word);
        }
    }
}
