//! What is shown where a page is not there, may not be seen, or failed.

use super::fields::sentence;
use super::frame::{Kind, Page};
use crate::desk::view::Problem;
use maud::html;

/// The page.
#[must_use]
pub fn problem(view: &Problem) -> String {
    let (title, remedy) = words(view.status);
    let body = html! {
        p.kicker { (view.status) }
        h1 { (title) }
        @if let Some(what) = &view.what { p.lead { (sentence(what)) } }
        p { (remedy) }
        @if view.shell.keeper.is_some() { p { a href="/" { "To the repeaters" } } }
    };
    let kind = if view.shell.keeper.is_some() {
        Kind::Desk
    } else {
        Kind::Door
    };
    Page::new(kind, title, &view.shell).around(&body)
}

/// What it is and what can be done.
const fn words(status: u16) -> (&'static str, &'static str) {
    match status {
        400 | 422 => (
            "This could not be read",
            "Go back, look at what was typed, and send it again.",
        ),
        401 => ("Sign in first", "This page is for the keepers of the desk."),
        403 => (
            "This is not allowed",
            "A reader sees everything and changes nothing. If you came from a form that was open \
             for a long time, load it anew and send it again.",
        ),
        404 => (
            "There is nothing here",
            "The link may be mistyped, or no longer valid. Ask whoever gave it to you for a new \
             one.",
        ),
        408 => (
            "The connection was too slow",
            "What arrived was kept where it could be. Try again where the reception is better.",
        ),
        409 | 410 => (
            "This has changed meanwhile",
            "Somebody else was here first, or the link was used already. Load the page anew.",
        ),
        413 => (
            "The file is too large",
            "Send a shorter piece: three minutes while it happens tell more than a whole evening.",
        ),
        415 => (
            "This kind of file is not taken",
            "Send a sound recording as your phone, recorder or radio program made it.",
        ),
        429 => (
            "Too many tries",
            "Wait a few minutes, then try again. Nothing that was received is lost.",
        ),
        503 | 507 => (
            "The desk cannot do this just now",
            "Try again in a few minutes. Nothing that was received is lost.",
        ),
        _ => (
            "Something went wrong here",
            "It is not your fault, and it was written down. Nothing that was received is lost; \
             try again in a few minutes.",
        ),
    }
}
