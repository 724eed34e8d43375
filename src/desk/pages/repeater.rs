//! One repeater: its recordings, cases and trend; and the form that describes it.

use super::fields::{Field, Forms, form, wrong};
use super::frame::{Kind, Page};
use super::home::where_it_is;
use super::{lists, trend, words};
use crate::desk::view::{Filter, RepeaterForm, RepeaterPage};
use maud::{Markup, html};

/// The page.
#[must_use]
pub fn repeater(view: &RepeaterPage) -> String {
    let id = &view.repeater.id;
    let may = view.shell.may_change();
    let body = html! {
        div.heading {
            h1 { (view.repeater.name) }
            div.row {
                a.press href=(format!("/repeater/{id}/link")) { "Link for members" }
                @if may { a.press href=(format!("/repeater/{id}/edit")) { "Change" } }
            }
        }
        (lists::unremoved(view.unremoved))
        (where_it_is(&view.repeater))
        (cases(view))
        section {
            h2 { "Recordings" }
            (filters(id, &view.filter))
            @if view.rows.is_empty() { (nothing(view)) }
            @else {
                p.quiet role="status" { (lists::counted(view.pager.total, "recording", "recordings")) }
                (lists::recordings(&view.rows))
                (lists::pager(view.pager, &address(id, &view.filter)))
            }
            @if view.corrections > 0 {
                p {
                    a href=(format!("/repeater/{id}/corrections.zip")) {
                        "Fetch " (lists::counted(view.corrections, "corrected recording", "corrected recordings"))
                        " in the corpus format"
                    }
                }
            }
        }
        (trend::trend(&view.trend))
        @if may { (remove(view)) }
    };
    Page {
        way: &[("/".into(), "Repeaters".into())],
        ..Page::new(Kind::Desk, &view.repeater.name, &view.shell)
    }
    .around(&body)
}

fn nothing(view: &RepeaterPage) -> Markup {
    let all = Filter::default();
    html! {
        @if view.filter == all {
            p {
                "Nothing has been sent in yet. Post the "
                a href=(format!("/repeater/{}/link", view.repeater.id)) { "link for members" }
                " where they look; you can send in your own recordings by it too."
            }
        } @else {
            p { "No recording is like that. " a href=(format!("/repeater/{}", view.repeater.id)) { "Show all" } }
        }
    }
}

/// The list's own address, for its other pages.
fn address(id: &str, filter: &Filter) -> String {
    let value = lists::in_address;
    format!(
        "/repeater/{id}?verdict={}&from={}&to={}&q={}{}&page=",
        value(&filter.verdict),
        value(&filter.from),
        value(&filter.to),
        value(&filter.words),
        if filter.unseen { "&unseen=yes" } else { "" }
    )
}

fn filters(id: &str, filter: &Filter) -> Markup {
    let mut verdicts = vec![(String::new(), "every verdict".to_owned())];
    verdicts.extend(words::verdicts());
    html! {
        form.filters method="get" action=(format!("/repeater/{id}")) role="search" {
            div.row {
                (Field::new("verdict", "Verdict", &filter.verdict).one_of(&verdicts))
                (Field::new("q", "Words", &filter.words).kind("search").show())
                (Field::new("from", "From", &filter.from).kind("date").show())
                (Field::new("to", "To", &filter.to).kind("date").show())
                label.check { input type="checkbox" name="unseen" value="yes" checked[filter.unseen]; "Only new ones" }
                button { "Show" }
            }
        }
    }
}

fn cases(view: &RepeaterPage) -> Markup {
    let id = &view.repeater.id;
    let forms = Forms(&view.wrong);
    html! {
        section id="cases" {
            h2 { "Cases" }
            @if view.cases.is_empty() {
                p {
                    "No case yet. A case gathers recordings, stepped tests and readings from the \
                     first complaint to the proof that it is mended."
                }
            } @else { (lists::cases(&view.cases, false)) }
            @if view.shell.may_change() {
                details open[forms.is("case")] {
                    summary { "Open a case" }
                    (forms.refused("case"))
                    (form(&view.shell, &format!("/repeater/{id}/case#cases"), "row", &html! {
                        (Field::new("title", "What is it about?", forms.typed("case", "title", "")).needed().show())
                        button { "Open it" }
                    }))
                }
            }
        }
    }
}

fn remove(view: &RepeaterPage) -> Markup {
    let forms = Forms(&view.wrong);
    html! {
        details.remove id="delete-repeater" open[forms.is("delete")] {
            summary { "Delete this repeater" }
            p {
                "Its recordings, cases and links go with it, for good; the originals are removed \
                 from the disk. Fetch the cases as archives first if you want to keep them."
            }
            (forms.refused("delete"))
            (form(&view.shell, &format!("/repeater/{}/delete#delete-repeater", view.repeater.id), "row", &html! {
                (Field::new("sure", "Type its name to delete it", forms.typed("delete", "sure", "")).needed().show())
                button.grave { "Delete it all" }
            }))
        }
    }
}

/// The form for a new one or for changes.
#[must_use]
pub fn repeater_form(view: &RepeaterForm) -> String {
    let (title, action, press) = match &view.id {
        Some(id) => (
            "Change the repeater",
            format!("/repeater/{id}/edit"),
            "Keep the changes",
        ),
        None => (
            "Add a repeater",
            "/repeater/new".into(),
            "Add it and make its link",
        ),
    };
    let fields = html! {
        (Field::new("name", "Name", &view.name).needed().hint("Call sign and place, as members know it.").show())
        (Field::new("output_mhz", "Output, MHz", &view.output_mhz).number().show())
        (Field::new("place", "Where it stands", &view.place).show())
        (Field::new("hang_s", "Hang time, seconds", &view.hang_s).number()
            .hint("If you know it: how long the carrier stays after a user is gone. It helps the verdict.").show())
        (Field::new("hysteresis_db", "Squelch hysteresis, dB", &view.hysteresis_db).number()
            .hint("If you know it: how much more signal opens the squelch than holds it.").show())
        (Field::new("word", "A word to members", &view.word)
            .hint("Stands on the send-in page.").area(3))
        button.main { (press) }
    };
    let body = html! {
        h1 { (title) }
        (wrong(view.wrong.as_deref()))
        div.slender { (form(&view.shell, &action, "stack", &fields)) }
    };
    let mut way = vec![("/".to_owned(), "Repeaters".to_owned())];
    if let Some(id) = &view.id {
        way.push((format!("/repeater/{id}"), view.name.clone()));
    }
    Page {
        way: &way,
        ..Page::new(Kind::Desk, title, &view.shell)
    }
    .around(&body)
}
