//! One analysis on a page: verdict, picture with its player, evidence, doubts, next step.

use super::fields::sentence;
use super::glyph;
use crate::desk::view::{EventLine, EvidenceLine, Heard, Pictures};
use crate::present::numbers::{clock, percent, span};
use crate::present::wording::page as words;
use crate::units::{Instant, Seconds};
use maud::{Markup, PreEscaped, html};

/// Causes below this are not listed.
const LISTED_CAUSE: f64 = 0.005;
/// Dots that stand for certainty.
const DOTS: usize = 20;

/// The verdict in one line, its certainty and its paragraph.
pub fn verdict(heard: &Heard) -> Markup {
    let filled = (heard.probability * DOTS as f64)
        .floor()
        .clamp(0.0, DOTS as f64) as usize;
    html! {
        h1 { (heard.headline) }
        p.sure {
            (glyph::tag(&heard.label))
            span { (heard.certainty) }
            @if heard.label != "inconclusive" {
                (glyph::dots(filled, DOTS, &words::out_of_twenty(filled)))
            }
        }
        p.lead { (heard.paragraph) }
    }
}

/// The picture for wide and narrow screens.
pub fn pictures(pictures: &Pictures) -> Markup {
    html! {
        figure.wide { (PreEscaped(&pictures.wide)) }
        figure.narrow { (PreEscaped(&pictures.narrow)) }
    }
}

/// The player; a click in the picture goes to its moment.
pub fn player(sound: &str, captions: &str) -> Markup {
    html! {
        div.player {
            audio controls preload="metadata" src=(sound) aria-label="The recording" {
                track kind="captions" srclang="en" label="events" default src=(captions);
            }
            p.now aria-live="polite" {}
            p.quiet.click { (words::CLICK) }
            p.quiet.failed hidden {
                "The sound did not load, or this browser does not play its format. "
                a href=(sound) download="" { "Fetch the file itself" } "."
            }
        }
    }
}

/// The one thing to do.
pub fn next(sentence: &str) -> Markup {
    html! {
        section.next {
            h2 { (words::NEXT_STEP) }
            p { (sentence) }
        }
    }
}

/// Cautions with their sources.
pub fn cautions<'a>(list: impl Iterator<Item = (&'a str, &'a str)>) -> Markup {
    let list: Vec<_> = list.collect();
    html! {
        @if !list.is_empty() {
            section.cautions {
                h2 { (words::CAUTIONS) }
                ul {
                    @for (text, source) in list {
                        li { (text) " " span.source { "[" (source) "]" } }
                    }
                }
            }
        }
    }
}

/// The same from what is kept of an analysis.
pub fn kept_cautions(list: &[(String, String)]) -> Markup {
    cautions(
        list.iter()
            .map(|(text, source)| (text.as_str(), source.as_str())),
    )
}

/// Measured numbers, and the stretches of the recording.
pub fn figures(heard: &Heard) -> Markup {
    html! {
        section {
            h2 { (words::FIGURES) }
            dl.figures {
                @for (name, value) in &heard.figures { div { dt { (name) } dd { (value) } } }
            }
            @if !heard.episodes.is_empty() {
                h3 { (words::EPISODES) }
                ul { @for line in &heard.episodes { li { (line) } } }
            }
        }
    }
}

/// Each item on its balance, then all causes.
pub fn evidence(heard: &Heard) -> Markup {
    html! {
        section {
            h2 { (heard.evidence_heading) }
            @if !heard.evidence.is_empty() {
                p.quiet { (words::EVIDENCE_HOW) }
                ul.evidence { @for item in &heard.evidence { (weighed(item)) } }
                @if !heard.undecided.is_empty() {
                    details {
                        summary { (words::undecided(heard.undecided.len())) }
                        ul.evidence { @for item in &heard.undecided { (weighed(item)) } }
                    }
                }
            }
            h3 { (words::CAUSES) }
            ul.causes {
                @for (name, p) in heard.causes.iter().filter(|(_, p)| *p >= LISTED_CAUSE) {
                    li { span.share { (percent(*p)) } span { (name) } }
                }
            }
        }
    }
}

fn weighed(item: &EvidenceLine) -> Markup {
    html! {
        li {
            (glyph::balance(item.log10_odds.unwrap_or(0.0)))
            p { (item.text) " " span.weight { (sentence(&item.weight)) } }
        }
    }
}

/// What may be wrong.
pub fn doubts(heard: &Heard) -> Markup {
    html! {
        @if !heard.doubts.is_empty() {
            section {
                h2 { (words::DOUBTS) }
                ul { @for doubt in &heard.doubts { li { (doubt) } } }
            }
        }
    }
}

/// The events, folded away, each with a button that goes there.
pub fn events(heard: &Heard) -> Markup {
    html! {
        @if !heard.events.is_empty() {
            details.events {
                summary { (words::EVENTS) " (" (heard.events.len() + heard.more_events) ")" }
                div.scroll tabindex="0" role="group" aria-label=(words::EVENTS) {
                    table {
                        thead { tr { @for name in words::EVENT_COLUMNS { th scope="col" { (name) } } } }
                        tbody { @for event in &heard.events { (row(event)) } }
                    }
                }
                @if heard.more_events > 0 {
                    p.quiet { (heard.more_events) " more are in the machine-readable result." }
                }
            }
        }
    }
}

fn row(event: &EventLine) -> Markup {
    html! {
        tr {
            td {
                button.slim type="button" data-t=(format!("{:.3}", event.t_s)) {
                    (clock(Instant(event.t_s)))
                }
            }
            td { (event.name) }
            td { (span(Seconds(event.sd_s))) }
            td { (percent(event.confidence)) }
        }
    }
}
