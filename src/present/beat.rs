//! The cycles of a check, ready to be drawn: one for each carrier drop.

use crate::check::Check;
use crate::timeline::types::{Drop, ListeningMode};
use crate::units::{Instant, Seconds};

/// One transmission and the silence after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycle {
    /// The drop that ended it.
    pub drop: Instant,
    /// When it came up, if known.
    pub key_up: Option<Instant>,
    /// Its parts, if its length is known.
    pub parts: Option<Parts>,
    /// The silence after it.
    pub after: After,
}

/// What a transmission was made of, from the bottom up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parts {
    /// Whole length.
    pub on: Seconds,
    /// Key-up to the first loss of the user, if that was heard.
    pub blip: Option<Seconds>,
    /// Last loss of the user to the drop, if that was heard.
    pub tail: Option<Seconds>,
}

/// What followed the drop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum After {
    /// It came straight back.
    Back(Seconds),
    /// It came up again later, by its own will or somebody's.
    Later(Seconds),
    /// It came up again, and whether straight away cannot be told.
    Unjudged(Seconds),
    /// The recorder cut the silence out.
    Cut,
    /// Not observable: the recording ends, or the edge is not audible.
    Unknown,
}

impl After {
    /// Length of the silence, where it is known.
    #[must_use]
    pub const fn gap(self) -> Option<Seconds> {
        match self {
            Self::Back(gap) | Self::Later(gap) | Self::Unjudged(gap) => Some(gap),
            Self::Cut | Self::Unknown => None,
        }
    }
}

impl Cycle {
    /// Key-up to key-up where it came straight back, else the length of the transmission.
    #[must_use]
    pub fn height(&self) -> Option<Seconds> {
        let on = self.parts?.on;
        Some(match self.after {
            After::Back(gap) => on + gap,
            _ => on,
        })
    }
}

/// The cycles in order of time.
pub fn cycles(check: &Check) -> impl Iterator<Item = Cycle> {
    let mode = check.timeline.listening.mode;
    let drops = check.timeline.drops.iter();
    drops.map(move |drop| cycle(&drop, mode))
}

/// What a transmission was made of; `None` where its length is not known. No part is longer than
/// the whole, whatever the numbers are.
#[must_use]
pub fn parts(drop: &Drop) -> Option<Parts> {
    let on = drop
        .on
        .filter(|on| on.get().is_finite() && on.get() > 0.0)?;
    let within = |part: Option<Seconds>| {
        part.filter(|p| p.get().is_finite())
            .map(|p| Seconds(p.get().clamp(0.0, on.get())))
    };
    Some(Parts {
        on,
        blip: within(drop.blip),
        tail: within(drop.tail),
    })
}

/// One drop as a cycle, heard in this way.
#[must_use]
pub fn cycle(drop: &Drop, mode: ListeningMode) -> Cycle {
    let parts = parts(drop);
    let gap = drop
        .gap
        .filter(|gap| gap.get().is_finite() && gap.get() >= 0.0);
    Cycle {
        drop: drop.drop,
        key_up: parts.map(|parts| drop.drop - parts.on),
        parts,
        after: match (mode, gap, drop.came_back) {
            (ListeningMode::NoGaps, None, _) => After::Cut,
            (_, Some(gap), Some(true)) => After::Back(gap),
            (_, Some(gap), Some(false)) => After::Later(gap),
            (_, Some(gap), None) => After::Unjudged(gap),
            (_, None, _) => After::Unknown,
        },
    }
}
