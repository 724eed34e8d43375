//! `events.vtt`: captions after W3C WebVTT. Each event is a cue that stands until the next one.

use crate::check::Check;
use crate::present::numbers::{plain, span};
use crate::present::wording::events;
use crate::timeline::types::EventKind;
use crate::units::{Instant, Seconds};
use std::collections::HashMap;
use std::fmt::Write;

/// A caption stands no longer than this.
const LONGEST: Seconds = Seconds(4.0);

/// One caption.
#[derive(Debug, Clone, PartialEq)]
pub struct Cue {
    /// When it appears, whole milliseconds.
    pub start_ms: u64,
    /// When it goes; always after `start_ms`.
    pub end_ms: u64,
    /// What it says, not yet escaped.
    pub text: String,
}

/// The captions in order of time; events of the same millisecond share one.
#[must_use]
pub fn cues(check: &Check) -> Vec<Cue> {
    let mut list: Vec<Cue> = Vec::new();
    let mut events: Vec<_> = check
        .timeline
        .events
        .iter()
        .filter(|e| e.t.get().is_finite())
        .collect();
    events.sort_by(|a, b| a.t.total_cmp(&b.t));
    // Each drop by its moment: a search for each event would add up over days.
    let mut gaps: HashMap<u64, Option<Seconds>> = HashMap::new();
    for drop in &check.timeline.drops {
        let back = drop.gap.filter(|_| drop.came_back == Some(true));
        gaps.entry(drop.drop.get().to_bits()).or_insert(back);
    }
    for event in events {
        let start_ms = milliseconds(event.t);
        let gap = gaps.get(&event.t.get().to_bits()).copied().flatten();
        let text = caption(event.kind, gap);
        let longest = (LONGEST.get() * 1000.0) as u64;
        match list.last_mut() {
            Some(last) if last.start_ms == start_ms => {
                last.text += ", ";
                last.text += &text;
                continue;
            }
            Some(last) => last.end_ms = last.end_ms.min(start_ms),
            None => {}
        }
        list.push(Cue {
            start_ms,
            end_ms: start_ms + longest,
            text,
        });
    }
    list
}

/// The file, UTF-8 with line feeds.
#[must_use]
pub fn render(check: &Check) -> String {
    let mut out = String::from("WEBVTT\n");
    for (n, cue) in cues(check).iter().enumerate() {
        // Writing to a String cannot fail.
        let _ = write!(
            out,
            "\n{}\n{} --> {}\n{}\n",
            n + 1,
            timestamp(cue.start_ms),
            timestamp(cue.end_ms),
            escape(&cue.text)
        );
    }
    out
}

/// `gap`: the silence after the drop at that moment, if it came straight back.
fn caption(kind: EventKind, gap: Option<Seconds>) -> String {
    let name = plain(&events::name(&kind));
    match gap.filter(|_| kind == EventKind::CarrierDrop) {
        Some(gap) => format!("{name}, back after {}", plain(&span(gap))),
        None => name,
    }
}

fn milliseconds(t: Instant) -> u64 {
    (t.get().max(0.0) * 1000.0).round() as u64
}

/// `hh:mm:ss.ttt`, hours of two digits or more.
fn timestamp(ms: u64) -> String {
    format!(
        "{:02}:{:02}:{:02}.{:03}",
        ms / 3_600_000,
        ms / 60_000 % 60,
        ms / 1000 % 60,
        ms % 1000
    )
}

/// The three characters that mean something in a cue, and line feeds, which would end it.
fn escape(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace(['\r', '\n'], " ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_may_have_three_digits() {
        assert_eq!(timestamp(3_723_004), "01:02:03.004");
        assert_eq!(timestamp(360_000_000), "100:00:00.000");
    }

    #[test]
    fn nothing_in_a_cue_can_end_it() {
        assert_eq!(escape("a --> b\n\n& <c>"), "a --&gt; b  &amp; &lt;c&gt;");
    }
}
