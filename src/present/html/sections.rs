//! The parts of the page below the picture.

use crate::check::Check;
use crate::present::numbers::{clock, percent, span};
use crate::present::story::{EvidenceLine, Story};
use crate::present::wording::{events as event_words, page as words};
use maud::{Markup, html};

/// Events listed on the page at most.
const MOST_EVENTS: usize = 300;
/// Causes below this are not listed.
const LISTED_CAUSE: f64 = 0.005;
/// Orders of magnitude that fit on one side of the balance.
const SIDE_LOG10: f64 = 3.0;

/// Measured numbers, and the stretches of the recording.
pub fn figures(story: &Story) -> Markup {
    html! {
        section {
            h2 { (words::FIGURES) }
            dl.figures {
                @for figure in &story.figures {
                    div { dt { (figure.name) } dd { (figure.value) } }
                }
            }
            @if !story.episodes.is_empty() {
                h3 { (words::EPISODES) }
                ul { @for line in &story.episodes { li { (line) } } }
            }
        }
    }
}

/// Each item with its weight on a balance, then all causes.
pub fn evidence(story: &Story) -> Markup {
    html! {
        section {
            h2 { (story.evidence_heading) }
            @if !story.evidence.is_empty() {
                p.quiet { (words::EVIDENCE_HOW) }
                ul.evidence { @for item in &story.evidence { (balance(item)) } }
                @if !story.undecided.is_empty() {
                    details.undecided {
                        summary { (words::undecided(story.undecided.len())) }
                        ul.evidence { @for item in &story.undecided { (balance(item)) } }
                    }
                }
            }
            h3 { (words::CAUSES) }
            ul.causes {
                @for (name, p) in story.causes.iter().filter(|(_, p)| *p >= LISTED_CAUSE) {
                    li {
                        span.share { (percent(*p)) }
                        span { (name) }
                    }
                }
            }
        }
    }
}

fn balance(item: &EvidenceLine) -> Markup {
    let reach = if item.log10_odds.is_nan() {
        0.0
    } else {
        item.log10_odds
    };
    let half = 50.0 * (reach.abs() / SIDE_LOG10).min(1.0);
    let left = if reach < 0.0 { 50.0 - half } else { 50.0 };
    html! {
        li {
            div.balance aria-hidden="true" {
                i class=(if reach < 0.0 { "against" } else { "for" })
                    style=(format!("left:{left:.1}%;width:{half:.1}%")) {}
            }
            p { (item.text) " " span.weight { (item.weight.words()) "." } }
        }
    }
}

/// What may be wrong.
pub fn doubts(story: &Story) -> Markup {
    html! {
        @if !story.doubts.is_empty() {
            section {
                h2 { (words::DOUBTS) }
                ul.doubts { @for doubt in &story.doubts { li { (doubt) } } }
            }
        }
    }
}

/// The one thing to do.
pub fn next_step(story: &Story) -> Markup {
    html! {
        section.next {
            h2 { (words::NEXT_STEP) }
            p { (story.next_step) }
        }
    }
}

/// Cautions with their sources.
pub fn cautions(story: &Story) -> Markup {
    html! {
        @if !story.cautions.is_empty() {
            section.cautions {
                h2 { (words::CAUTIONS) }
                ul {
                    @for caution in &story.cautions {
                        li { (caution.text) " " span.source { "[" (caution.source) "]" } }
                    }
                }
            }
        }
    }
}

/// The events, folded away, each with a button that goes there.
pub fn events(check: &Check) -> Markup {
    let all = &check.timeline.events;
    html! {
        @if !all.is_empty() {
            details.events {
                summary { (words::EVENTS) " (" (all.len()) ")" }
                table {
                    thead { tr { @for name in words::EVENT_COLUMNS { th { (name) } } } }
                    tbody {
                        @for event in all.iter().take(MOST_EVENTS) {
                            tr {
                                td {
                                    button type="button" data-t=(format!("{:.3}", event.t.get())) {
                                        (clock(event.t))
                                    }
                                }
                                td { (event_words::name(&event.kind)) }
                                td { (span(event.sd)) }
                                td { (percent(event.confidence)) }
                            }
                        }
                    }
                }
                @if all.len() > MOST_EVENTS {
                    p.quiet { (words::more_events(all.len() - MOST_EVENTS)) }
                }
            }
        }
    }
}

/// The file and its fingerprint.
pub fn file(check: &Check, story: &Story) -> Markup {
    html! {
        footer {
            h2 { (words::FILE) }
            p { (check.recording.name) ": " (story.recording) "." }
            p.quiet { (words::FINGERPRINT) ":" }
            p.hash { code { (check.recording.sha256) } }
        }
    }
}
