//! Small drawings made of shapes with classes: no style within, so they pass the strictest policy.

use super::words;
use crate::desk::view::{Beat, CaseState};
use maud::{Markup, html};

/// Orders of magnitude that fit on one side of the balance.
const SIDE_LOG10: f64 = 3.0;
/// Height of the tiny picture, dots.
const BEAT_HEIGHT: f64 = 26.0;
/// From beat to beat, dots.
const BEAT_STEP: f64 = 5.0;
/// Beats that fit.
const BEATS: usize = 24;

/// A verdict with its sign: full for self-desense, hatched for every other cause, hollow where it
/// is not settled.
pub fn tag(label: &str) -> Markup {
    let kind = match label {
        "self_desense" => "full",
        "inconclusive" => "hollow",
        _ => "half",
    };
    html! {
        span class={ "tag " (kind) } {
            svg viewBox="0 0 12 12" width="12" height="12" aria-hidden="true" {
                rect.edge x="1" y="1" width="10" height="10" {}
                @if kind == "half" { path.fill d="M1 11L11 1V11Z" {} }
                @if kind == "full" { rect.fill x="1" y="1" width="10" height="10" {} }
            }
            (words::verdict(label))
        }
    }
}

/// Certainty as dots.
pub fn dots(filled: usize, of: usize, says: &str) -> Markup {
    html! {
        svg.dots viewBox=(format!("0 0 {} 12", of * 12)) width=(of * 12) height="12" role="img"
            aria-label=(says) {
            @for n in 0..of {
                circle.on[n < filled] cx=(n * 12 + 6) cy="6" r="4.2" {}
            }
        }
    }
}

/// An item of evidence on the balance.
pub fn balance(log10_odds: f64) -> Markup {
    let reach = 90.0 * (log10_odds.abs() / SIDE_LOG10).min(1.0);
    let (x, class) = if log10_odds < 0.0 {
        (90.0 - reach, "against")
    } else {
        (90.0, "for")
    };
    html! {
        svg.balance viewBox="0 0 180 14" width="180" height="14" aria-hidden="true" {
            @for line in [0, 30, 60, 120, 150, 179] {
                rect.line x=(line) y="0" width="1" height="14" {}
            }
            rect class=(class) x=(format!("{x:.1}")) y="2" width=(format!("{reach:.1}")) height="10" {}
            rect.middle x="89" y="0" width="2" height="14" {}
        }
    }
}

/// The first cycles: height is time on the air, the lower part is the user, the upper the quiet
/// tail; a foot below says that it came straight back.
pub fn beats(list: &[Beat]) -> Markup {
    let shown: Vec<&Beat> = list.iter().take(BEATS).collect();
    if shown.is_empty() {
        return html! { span.quiet { "no drops" } };
    }
    let longest = (shown.iter().filter_map(|beat| beat.on_s)).fold(0.1, f64::max);
    let back = shown.iter().filter(|beat| beat.back == Some(true)).count();
    let says = format!("{} drops drawn, {back} came straight back", shown.len());
    let room = BEAT_HEIGHT - 5.0;
    let width = BEAT_STEP * BEATS as f64;
    html! {
        svg.beats viewBox=(format!("0 0 {width:.0} {BEAT_HEIGHT:.0}")) width=(format!("{width:.0}"))
            height=(format!("{BEAT_HEIGHT:.0}")) role="img" aria-label=(says) {
            @for (n, beat) in shown.iter().enumerate() {
                @let x = format!("{:.1}", BEAT_STEP * n as f64);
                @let on = beat.on_s.unwrap_or(0.0).clamp(0.0, longest);
                @let tail = beat.tail_s.unwrap_or(0.0).clamp(0.0, on);
                @let (high, cap) = ((room * on / longest).max(1.0), room * tail / longest);
                rect class=(if beat.tail_s.is_some() { "user" } else { "carrier" }) x=(x) y=(format!("{:.1}", room - high + cap)) width="3.6"
                    height=(format!("{:.1}", high - cap)) {}
                rect.quiet-tail x=(x) y=(format!("{:.1}", room - high)) width="3.6"
                    height=(format!("{cap:.1}")) {}
                @if beat.back == Some(true) {
                    rect.back x=(x) y=(format!("{:.1}", room + 2.0)) width="3.6" height="2.4" {}
                }
            }
        }
    }
}

/// How far a case is: one stroke for each state, those reached are full.
pub fn steps(state: CaseState) -> Markup {
    let reached = CaseState::ALL.iter().filter(|s| **s <= state).count();
    let says = format!(
        "step {reached} of {}: {}",
        CaseState::ALL.len(),
        words::state(state)
    );
    html! {
        svg.steps viewBox="0 0 80 10" width="80" height="10" role="img" aria-label=(says) {
            @for n in 0..CaseState::ALL.len() {
                rect.on[n < reached] x=(n * 16 + 1) y="1" width="13" height="8" {}
            }
        }
    }
}
