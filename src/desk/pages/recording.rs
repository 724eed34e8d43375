//! One recording, for keepers.

use super::fields::{Field, Forms, form, sentence};
use super::frame::{Kind, Page, moment};
use super::receipt::remarks;
use super::{glyph, heard, progress, words};
use crate::desk::view::{Analysis, Phase, RecordingPage};
use crate::present::numbers::span;
use crate::units::Seconds;
use maud::{Markup, html};

/// The page.
#[must_use]
pub fn recording(view: &RecordingPage) -> String {
    let may = view.shell.may_change();
    let looks_again = progress::is_pending(&view.analysis) && !view.still;
    let body = html! {
        p.kicker { (view.file) ", received " (moment(view.received)) }
        (analysis(view))
        @if may { div.two { (correct(view)) (into_case(view)) } }
        @else { (corrected(view)) }
        (notes(view, may))
        @if let Analysis::Done { heard, .. } = &view.analysis {
            (heard::figures(heard))
            (heard::evidence(heard))
            (heard::doubts(heard))
            (heard::kept_cautions(&heard.cautions))
            (heard::events(heard))
        }
        (file(view))
        @if may { (remove(view)) }
    };
    Page {
        way: &[
            ("/".into(), "Repeaters".into()),
            (
                format!("/repeater/{}", view.repeater_id),
                view.repeater.clone(),
            ),
        ],
        scripts: if looks_again {
            &[progress::SCRIPT]
        } else {
            &["player.js"]
        },
        again_s: looks_again.then_some(progress::LOOK_AGAIN_S),
        ..Page::new(Kind::Desk, &view.file, &view.shell)
    }
    .around(&body)
}

fn analysis(view: &RecordingPage) -> Markup {
    let sound = format!("/recording/{}/audio", view.id);
    let captions = format!("/recording/{}/captions.vtt", view.id);
    match &view.analysis {
        Analysis::Waiting { .. } | Analysis::Working { .. } => html! {
            h1 { "The verdict is not there yet" }
            (waits(view))
            (said(view))
            audio controls preload="metadata" src=(sound) aria-label="The recording" {}
        },
        Analysis::Failed { what } => html! {
            h1 { "It could not be analysed" }
            p.lead { (sentence(what)) }
            (said(view))
            audio controls preload="metadata" src=(sound) aria-label="The recording" {}
        },
        Analysis::Done { heard, pictures } => html! {
            (heard::verdict(heard))
            (said(view))
            section.heard {
                h2 { "What was heard" }
                (heard::player(&sound, &captions))
                (heard::pictures(pictures))
            }
            (heard::next(&heard.next_step))
        },
    }
}

/// Whoever writes on this page without scripts must be able to keep it from being loaded anew.
fn waits(view: &RecordingPage) -> Markup {
    let page = format!("/recording/{}", view.id);
    html! {
        @if view.still {
            p.lead { "This page stays as it is. " a href=(page) { "Look again" } }
        } @else {
            (progress::bar(&view.analysis, &format!("{page}/state"), "this one"))
            noscript {
                p {
                    "This page looks again every few seconds. "
                    a href=(format!("{page}?still=yes")) { "Stop that, to write something" }
                }
            }
        }
    }
}

fn said(view: &RecordingPage) -> Markup {
    html! {
        section.said { h2 { "What the member said" } (remarks(&view.said))
            @if view.said == crate::desk::view::Remarks::default() { p.quiet { "Nothing beside the recording." } }
        }
    }
}

/// What a keeper put in the place of the verdict.
pub fn corrected(view: &RecordingPage) -> Markup {
    html! {
        @if let Some(correction) = &view.correction {
            p.standing {
                (glyph::tag(&correction.label)) " said " (correction.by) ", " (moment(correction.when)) ". "
                (correction.why)
                @if let Some(hang) = correction.hang_s { " Hang time " (span(Seconds(hang))) "." }
                @if let Some(mode) = &correction.mode { " Listening: " (words::mode(mode)) "." }
            }
        }
    }
}

fn correct(view: &RecordingPage) -> Markup {
    let now = view.correction.as_ref();
    let mut choices = vec![(String::new(), "as the program says".to_owned())];
    choices.extend(
        words::verdicts()
            .into_iter()
            .filter(|(word, _)| word != "inconclusive"),
    );
    let hang = now
        .and_then(|c| c.hang_s)
        .map_or(String::new(), |s| s.to_string());
    let mode = now.and_then(|c| c.mode.as_deref()).unwrap_or_default();
    let mut modes = vec![(String::new(), "I do not know".to_owned())];
    modes.extend(words::modes());
    let forms = Forms(&view.wrong);
    let typed = |name, usual| forms.typed("correct", name, usual);
    html! {
        section id="really" {
            h2 { "It was really \u{2026}" }
            (corrected(view))
            (forms.refused("correct"))
            (form(&view.shell, &format!("/recording/{}/correct#really", view.id), "stack tight", &html! {
                (Field::new("label", "The cause, if you know better", typed("label", now.map_or("", |c| &c.label)))
                    .one_of(&choices))
                (Field::new("why", "How do you know?", typed("why", now.map_or("", |c| &c.why))).show())
                (Field::new("hang_s", "The repeater's hang time in seconds, if you know it", typed("hang_s", &hang))
                    .number().show())
                (Field::new("mode", "How it was listened to, if you know that", typed("mode", mode)).one_of(&modes))
                button { "Keep this" }
            }))
            p.quiet { "The program's own verdict stays beside it. Corrected recordings can be fetched as labelled data." }
        }
    }
}

fn into_case(view: &RecordingPage) -> Markup {
    let mut choices: Vec<(String, String)> = (view.cases.iter().filter(|case| !case.holds_this))
        .map(|case| (case.id.clone(), case.title.clone()))
        .collect();
    choices.push(("new".into(), "a new case".into()));
    let phases: Vec<(String, String)> = (Phase::ALL.iter())
        .map(|p| (p.as_str().to_owned(), words::phase(*p).to_owned()))
        .collect();
    let forms = Forms(&view.wrong);
    let typed = |name, usual| forms.typed("case", name, usual);
    html! {
        section id="into-case" {
            h2 { "Case" }
            @for case in view.cases.iter().filter(|case| case.holds_this) {
                p.standing { "In " a href=(format!("/case/{}", case.id)) { (case.title) } }
            }
            (forms.refused("case"))
            (form(&view.shell, &format!("/recording/{}/case#into-case", view.id), "stack tight", &html! {
                (Field::new("case", "Put it into", typed("case", "")).one_of(&choices))
                (Field::new("title", "Title, for a new case", typed("title", "")).show())
                (Field::new("phase", "It was recorded", typed("phase", Phase::Before.as_str())).one_of(&phases))
                button { "Put it there" }
            }))
        }
    }
}

fn notes(view: &RecordingPage, may: bool) -> Markup {
    let forms = Forms(&view.wrong);
    html! {
        @if may || !view.notes.is_empty() {
            section id="notes" {
                h2 { "Notes" }
                @for note in &view.notes {
                    div.note { p.quiet { (note.by) ", " (moment(note.when)) } p.typed { (note.text) } }
                }
                @if may {
                    (forms.refused("note"))
                    (form(&view.shell, &format!("/recording/{}/note#notes", view.id), "stack tight", &html! {
                        (Field::new("text", "A note for the keepers", forms.typed("note", "text", "")).needed().area(2))
                        button { "Add it" }
                    }))
                }
            }
        }
    }
}

fn file(view: &RecordingPage) -> Markup {
    html! {
        section {
            h2 { "The file" }
            @if let Analysis::Done { heard, .. } = &view.analysis { p { (heard.recording) "." } }
            p {
                (view.file) ", " (words::size(view.size_bytes)) ", " (view.media_type) ". "
                a href=(format!("/recording/{}/audio", view.id)) download=(view.file) { "Fetch the original" }
            }
            p.quiet { "SHA-256, to prove later that it is the same recording:" }
            p { code { (view.sha256) } }
            @if let Some(receipt) = &view.receipt {
                p { "The member's receipt: " a.code href=(receipt) { (receipt) } }
            }
        }
    }
}

fn remove(view: &RecordingPage) -> Markup {
    let forms = Forms(&view.wrong);
    html! {
        details.remove id="delete-recording" open[forms.is("delete")] {
            summary { "Analyse again, or delete" }
            (form(&view.shell, &format!("/recording/{}/again", view.id), "row", &html! {
                button { "Analyse it again" }
            }))
            p { "Deleting removes the recording, its verdict and its notes for good; the member's receipt link ends with it." }
            (forms.refused("delete"))
            (form(&view.shell, &format!("/recording/{}/delete#delete-recording", view.id), "row", &html! {
                (Field::new("sure", "Type the word delete", forms.typed("delete", "sure", "")).needed().show())
                button.grave { "Delete it" }
            }))
        }
    }
}
