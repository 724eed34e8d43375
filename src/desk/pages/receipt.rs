//! The receipt: what came of a recording, for whoever sent it in.

use super::fields::sentence;
use super::frame::{Kind, Page, moment};
use super::{heard, progress, words};
use crate::desk::view::{Analysis, Heard, Pictures, Receipt, Remarks, Squelch};
use maud::{Markup, html};

/// The page.
#[must_use]
pub fn receipt(view: &Receipt) -> String {
    let pending = progress::is_pending(&view.analysis);
    let title = format!("Recording of {}", view.repeater);
    let page = Page {
        scripts: if pending { &[progress::SCRIPT] } else { &[] },
        again_s: pending.then_some(progress::LOOK_AGAIN_S),
        ..Page::new(Kind::Receipt, &title, &view.shell)
    };
    page.around(&html! {
        p.kicker {
            "Your recording of " (view.repeater) ", received " (moment(view.received))
        }
        (outcome(view))
        (keep(view))
        (file(view))
    })
}

fn outcome(view: &Receipt) -> Markup {
    match &view.analysis {
        Analysis::Waiting { .. } | Analysis::Working { .. } => waits(view),
        Analysis::Failed { what } => html! {
            h1 { "It could not be analysed" }
            p.lead { (sentence(what)) }
            p { "The file itself is safe here, and the keeper of the repeater can see it." }
        },
        Analysis::Done { heard, pictures } => done(heard, pictures),
    }
}

fn waits(view: &Receipt) -> Markup {
    let state = format!("/receipt/{}/state", view.secret);
    html! {
        h1 { "Received. Thank you!" }
        (progress::bar(&view.analysis, &state, "yours"))
        p {
            "The verdict appears here by itself, as a rule within a minute. You may close this \
             page: the recording is safe, and the link below brings you back."
        }
        noscript { p { "This page looks again every few seconds." } }
    }
}

fn done(heard: &Heard, pictures: &Pictures) -> Markup {
    html! {
        (heard::verdict(heard))
        (heard::next(&heard.next_for_sender))
        (heard::kept_cautions(&heard.cautions_for_sender))
        section.heard {
            h2 { "What was heard" }
            (heard::pictures(pictures))
        }
        (heard::doubts(heard))
        details.more {
            summary { "The numbers behind it" }
            (heard::figures(heard))
            (heard::evidence(heard))
        }
    }
}

fn keep(view: &Receipt) -> Markup {
    html! {
        section.keep {
            h2 { "Your link to come back" }
            p {
                "Keep it if you want to look again; whoever has it sees this page. Nobody else can \
                 find it."
            }
            p.link { a.code href=(view.link) data-copy { (view.link) } }
            @if let Some(address) = &view.send_another {
                p { a.press href=(address) { "Send another recording" } }
            }
        }
    }
}

fn file(view: &Receipt) -> Markup {
    html! {
        section {
            h2 { "What you sent" }
            (remarks(&view.said))
            p { (view.file) ", " (words::size(view.bytes)) }
            details {
                summary { "Fingerprint of the file" }
                p.quiet { "SHA-256, to prove later that it is the same recording:" }
                p { code { (view.sha256) } }
            }
        }
    }
}

/// What a member said; nothing where they said nothing.
pub fn remarks(said: &Remarks) -> Markup {
    let squelch = match said.squelch {
        Squelch::Unknown => "",
        known => words::squelch(known),
    };
    let lines = [
        ("Heard at", said.place.as_str()),
        ("On", said.set.as_str()),
        ("Squelch", squelch),
        ("Noticed", said.noticed.as_str()),
        ("From", said.sender.as_str()),
    ];
    html! {
        @if lines.iter().any(|(_, value)| !value.is_empty()) {
            dl.figures {
                @for (name, value) in lines.iter().filter(|(_, value)| !value.is_empty()) {
                    div { dt { (name) } dd.typed { (value) } }
                }
            }
        }
    }
}
