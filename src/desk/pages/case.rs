//! One case, from the first complaint to the proof.

use super::fields::{Field, Forms, form};
use super::frame::{Kind, Page, moment};
use super::{chain, glyph, leaf, lists, measured, words};
use crate::desk::view::{CasePage, CaseRecording, CaseState, Phase, StateChange};
use maud::{Markup, html};

/// The page.
#[must_use]
pub fn case(view: &CasePage) -> String {
    let may = view.shell.may_change();
    let body = html! {
        div.heading {
            h1 { (view.case.title) }
            p { (glyph::steps(view.case.state)) " " b { (words::state(view.case.state)) } }
        }
        (contents())
        (state(view, may))
        (recordings(view, may))
        (measured::stepped(view, may))
        (measured::tee(view, may))
        (chain::search(view, may))
        (proof(view, may))
        (files(view))
        @if let Some(plan) = &view.hunt { (leaf::cautions(plan)) }
        @else { (general_cautions()) }
        @if may { (remove(view)) }
    };
    Page {
        way: &[
            ("/".into(), "Repeaters".into()),
            (
                format!("/repeater/{}", view.repeater_id),
                view.case.repeater.clone(),
            ),
        ],
        ..Page::new(Kind::Desk, &view.case.title, &view.shell)
    }
    .around(&body)
}

fn contents() -> Markup {
    let parts = [
        ("state", "State"),
        ("recordings", "Recordings"),
        ("stepped", "Stepped tests"),
        ("tee", "Isolated tee"),
        ("search", "Fault search"),
        ("proof", "Before and after"),
        ("files", "Files"),
    ];
    html! {
        nav.contents aria-label="Parts of the case" {
            ul { @for (at, name) in parts { li { a href=(format!("#{at}")) { (name) } } } }
        }
    }
}

fn general_cautions() -> Markup {
    let list = crate::present::wording::cautions::for_site_work();
    super::heard::cautions(list.iter().map(|c| (c.text, c.source)))
}

/// A side of the repair, to be chosen.
pub fn phase_field(id: &str, now: &str) -> Markup {
    let choices: Vec<(String, String)> = (Phase::ALL.iter())
        .map(|p| (p.as_str().to_owned(), words::phase(*p).to_owned()))
        .collect();
    Field::new("phase", "Made", now).id(id).one_of(&choices)
}

fn state(view: &CasePage, may: bool) -> Markup {
    let id = &view.case.id;
    let choices: Vec<(String, String)> = (CaseState::ALL.iter())
        .map(|s| (s.as_str().to_owned(), words::state(*s).to_owned()))
        .collect();
    let typed = |form, name, else_this| view.typed(form, name, 0).unwrap_or(else_this);
    html! {
        section id="state" {
            h2 { "State" }
            (states(&view.history))
            @if may {
                (Forms(&view.wrong).refused("state"))
                (form(&view.shell, &format!("/case/{id}/state#state"), "row", &html! {
                    (Field::new("state", "It is now", typed("state", "state", following(view.case.state).as_str()))
                        .id("state-now").one_of(&choices))
                    (Field::new("said", "Why", typed("state", "said", "")).id("state-said").show())
                    button { "Change the state" }
                }))
                (Forms(&view.wrong).refused("title"))
                details open[Forms(&view.wrong).is("title")] {
                    summary { "Change the title" }
                    (form(&view.shell, &format!("/case/{id}/title#state"), "row", &html! {
                        (Field::new("title", "Title", typed("title", "title", &view.case.title)).needed().show())
                        button { "Keep this" }
                    }))
                }
            }
        }
    }
}

/// The state that a keeper most likely goes to.
fn following(state: CaseState) -> CaseState {
    (CaseState::ALL.into_iter().find(|s| *s > state)).unwrap_or(state)
}

fn recordings(view: &CasePage, may: bool) -> Markup {
    html! {
        section id="recordings" {
            h2 { "Recordings" }
            (Forms(&view.wrong).refused("recording"))
            @if view.recordings.is_empty() {
                p { "None yet. Open a recording of this repeater and put it into this case there." }
            } @else {
                ul.log {
                    @for one in &view.recordings {
                        li.with-form { (lists::recording(&one.row)) (side(view, one, may)) }
                    }
                }
            }
        }
    }
}

fn side(view: &CasePage, one: &CaseRecording, may: bool) -> Markup {
    let action = format!("/case/{}/recording/{}#recordings", view.case.id, one.row.id);
    let id = format!("phase-{}", one.row.id);
    html! {
        @if may {
            div.row.under {
                (form(&view.shell, &action, "row", &html! {
                    (phase_field(&id, one.phase.as_str()))
                    button.slim { "Keep this" }
                }))
                (form(&view.shell, &action, "", &html! {
                    input type="hidden" name="remove" value="yes";
                    button.slim aria-label=(format!("Take it out: {}", one.row.file)) { "Take it out" }
                }))
            }
        } @else { p.quiet.under { (words::phase(one.phase)) } }
    }
}

fn proof(view: &CasePage, may: bool) -> Markup {
    let id = &view.case.id;
    html! {
        section id="proof" {
            h2 { "Before and after" }
            @if may {
                (Forms(&view.wrong).refused("work"))
                (form(&view.shell, &format!("/case/{id}/work#proof"), "row", &html! {
                    (Field::new("work", "What was done between the two", view.typed("work", "work", 0).unwrap_or(&view.work))
                        .hint("For instance: jumper to the arrestor replaced.").show())
                    button { "Keep this" }
                }))
            } @else if !view.work.is_empty() { p { "Done between the two: " (view.work) } }
            @if let Some(dossier) = &view.dossier {
                p.answer { (dossier.headline) }
                @for said in &dossier.paragraphs { p { (said) } }
                p.standing {
                    @if dossier.enough { b { "Enough for a proof. " } } @else { b { "Not enough for a proof yet. " } }
                    (dossier.next_step)
                }
                p { a.press href=(format!("/case/{id}/dossier.html")) { "The sheet to hand on" } }
            } @else {
                p {
                    "Once there is something from before the repair and something from after it, \
                     the two are compared here: drops that came back, cycles, desense."
                }
            }
        }
    }
}

fn files(view: &CasePage) -> Markup {
    let id = &view.case.id;
    html! {
        section id="files" {
            h2 { "Files" }
            p { "The whole case, to keep or to hand on:" }
            div.row {
                a.press href=(format!("/case/{id}/page.html")) { "All on one page" }
                a.press href=(format!("/case/{id}/bundle.zip")) { "Archive with originals and fingerprints" }
            }
        }
    }
}

fn remove(view: &CasePage) -> Markup {
    let typed = view.typed("delete", "sure", 0).unwrap_or_default();
    html! {
        details.remove id="delete-case" open[Forms(&view.wrong).is("delete")] {
            summary { "Delete this case" }
            p { "Its tests, readings and chain go for good. The recordings stay with the repeater." }
            (Forms(&view.wrong).refused("delete"))
            (form(&view.shell, &format!("/case/{}/delete#delete-case", view.case.id), "row", &html! {
                (Field::new("sure", "Type the word delete", typed).needed().show())
                button.grave { "Delete the case" }
            }))
        }
    }
}

/// The states that a case went through.
pub(super) fn states(history: &[StateChange]) -> Markup {
    html! {
        ol.history {
            @for change in history {
                li {
                    (glyph::steps(change.state)) " " b { (words::state(change.state)) }
                    span.quiet { " " (change.by) ", " (moment(change.when)) }
                    @if !change.said.is_empty() { p.typed { (change.said) } }
                }
            }
        }
    }
}
