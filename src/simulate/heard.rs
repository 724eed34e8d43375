//! Which pieces of the repeater's transmissions the listener hears.

use super::ledger::{Ledger, Span};
use super::scenario::{ListenerSquelch, Scenario};

/// A transmission, or a piece of one, on the scene's clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    /// The transmission on the air.
    pub carrier: Span,
    /// Begin as heard.
    pub start_s: f64,
    /// End as heard.
    pub end_s: f64,
    /// Whether the listener was there at the begin.
    pub start_known: bool,
    /// Whether the listener was there at the end.
    pub end_known: bool,
    /// Whether any of it was heard.
    pub heard: bool,
}

impl Piece {
    /// The carrier stayed up when this piece ended.
    pub(super) fn by_listener(&self) -> bool {
        self.end_s < self.carrier.end_s - 1e-9
    }
}

/// With an open squelch, hiss shorter than this inside a transmission is a flutter, not a drop.
const FLUTTER_S: f64 = 0.25;
/// The squelch's detector lags behind a carrier by about this much.
const LAG_S: f64 = 0.1;
/// A set that opens later than its delays allow came late.
const LATE_S: f64 = 0.15;

/// All pieces in order; a transmission of which nothing is heard is one piece that is not heard.
pub(super) fn pieces(scene: &Scenario, ledger: &Ledger) -> Vec<Piece> {
    let mut all = Vec::new();
    for carrier in &ledger.carrier {
        let spans = match scene.listener.squelch {
            ListenerSquelch::Open => by_hiss(carrier, ledger),
            ListenerSquelch::Noise | ListenerSquelch::Tone => by_gate(carrier, ledger),
        };
        let before = all.len();
        for [start_s, end_s] in spans {
            let late = start_s - carrier.start_s > scene.listener.opening_s + LATE_S;
            let scanned = ledger
                .landed
                .as_ref()
                .is_some_and(|spans| spans.iter().any(|s| (s.start_s - start_s).abs() < 1e-6));
            all.push(Piece {
                carrier: *carrier,
                start_s,
                end_s,
                start_known: !(late && scanned),
                end_known: carrier.ended || end_s < carrier.end_s,
                heard: true,
            });
        }
        if all.len() == before {
            all.push(Piece {
                carrier: *carrier,
                start_s: carrier.start_s,
                end_s: carrier.end_s,
                start_known: false,
                end_known: false,
                heard: false,
            });
        }
    }
    all
}

/// Squelched: while the gate is open. A gate that closes under a carrier ends the piece where
/// the set lost sight of it.
fn by_gate(carrier: &Span, ledger: &Ledger) -> Vec<[f64; 2]> {
    let overlap = |s: &&Span| s.start_s < carrier.end_s && s.end_s > carrier.start_s;
    let mut spans = Vec::new();
    for gate in ledger.open.iter().filter(overlap) {
        let start = gate.start_s.max(carrier.start_s);
        let mut end = gate.end_s.min(carrier.end_s);
        if gate.end_s < carrier.end_s {
            let seen = ledger.sees.iter().any(|s| s.holds(gate.end_s));
            let lost = ledger
                .sees
                .iter()
                .rev()
                .map(|s| s.end_s)
                .find(|t| *t <= gate.end_s);
            if let (false, Some(lost)) = (seen, lost) {
                end = lost.max(start);
            }
        }
        if end > start + 0.005 {
            spans.push([start, end]);
        }
    }
    spans
}

/// Open: while the hiss is gone.
fn by_hiss(carrier: &Span, ledger: &Ledger) -> Vec<[f64; 2]> {
    let mut spans: Vec<[f64; 2]> = Vec::new();
    for seen in &ledger.sees {
        for open in &ledger.open {
            let start = seen.start_s.max(open.start_s).max(carrier.start_s);
            let end = seen.end_s.min(open.end_s).min(carrier.end_s);
            if end <= start {
                continue;
            }
            match spans.last_mut() {
                Some(last) if start - last[1] < FLUTTER_S => last[1] = end,
                _ => spans.push([start, end]),
            }
        }
    }
    if let Some(first) = spans.first_mut()
        && first[0] - carrier.start_s < LAG_S
    {
        first[0] = carrier.start_s;
    }
    if let Some(last) = spans.last_mut()
        && carrier.end_s - last[1] < LAG_S
    {
        last[1] = carrier.end_s;
    }
    spans
}
