//! The first page of those who are signed in.

use super::frame::{Kind, Page, moment};
use super::lists;
use crate::desk::view::{HomePage, RepeaterCard};
use maud::{Markup, html};

/// The page.
#[must_use]
pub fn home(view: &HomePage) -> String {
    let may = view.shell.may_change();
    let body = html! {
        div.heading {
            h1 { "Repeaters" }
            @if may { a.press href="/repeater/new" { "Add a repeater" } }
        }
        (lists::unremoved(view.unremoved))
        @if view.queue > 0 {
            p.quiet { (lists::counted(view.queue, "recording is", "recordings are")) " being listened to or waiting." }
        }
        @if view.repeaters.is_empty() {
            section.empty {
                p.lead { "There is no repeater yet." }
                p {
                    "Add one, and the desk makes a link for it. Post that link where members look: \
                     what they hear, they send in by telephone, and it appears here with its verdict."
                }
            }
        } @else {
            ul.cards { @for repeater in &view.repeaters { li { (card(repeater)) } } }
        }
        @if !view.open_cases.is_empty() {
            section { h2 { "Open cases" } (lists::cases(&view.open_cases, true)) }
        }
        @if !view.latest.is_empty() {
            section { h2 { "Latest recordings" } (lists::recordings(&view.latest)) }
        }
    };
    Page::new(Kind::Desk, "Repeaters", &view.shell).around(&body)
}

fn card(repeater: &RepeaterCard) -> Markup {
    html! {
        h2 { a href=(format!("/repeater/{}", repeater.id)) { (repeater.name) } }
        (where_it_is(repeater))
        p {
            @if repeater.recordings == 0 { "No recording yet" }
            @else {
                (lists::counted(repeater.recordings, "recording", "recordings"))
                ", " b { (repeater.desense) } " self-desense"
                @if repeater.unseen > 0 { ", " b.new { (repeater.unseen) " new" } }
            }
            @if repeater.open_cases > 0 {
                ", " (lists::counted(repeater.open_cases, "open case", "open cases"))
            }
        }
        @if let Some(when) = repeater.latest { p.quiet { "Last one " (moment(when)) } }
    }
}

/// Output and place in one line.
pub fn where_it_is(repeater: &RepeaterCard) -> Markup {
    let parts: Vec<&str> = [&repeater.output, &repeater.place]
        .into_iter()
        .flatten()
        .map(String::as_str)
        .collect();
    html! { @if !parts.is_empty() { p.quiet { (parts.join(" \u{b7} ")) } } }
}
