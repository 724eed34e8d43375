//! The link for members, to print or to post.

use super::fields::form;
use super::frame::{Kind, Page, moment};
use crate::desk::view::{LinkPage, Qr};
use maud::{Markup, html};

/// Light squares around a QR code, by its standard (ISO/IEC 18004).
const QUIET: usize = 4;

/// The page.
#[must_use]
pub fn link(view: &LinkPage) -> String {
    let body = html! {
        h1 { "Link for members" }
        p.lead {
            "Whoever has this link can send in recordings of " (view.repeater) ", and can see \
             nothing else. Post it, or print the sheet and pin it up."
        }
        p.link { a.code href=(view.url) data-copy { (view.url) } }
        p.quiet { "Valid since " (moment(view.made)) "." }
        p { button type="button" data-print { "Print the sheet" } }
        section.sheet {
            p.sheet-name { (view.repeater) }
            @if let Some(output) = &view.output { p { "Output " (output) } }
            p.sheet-ask { "Does it drop and come back? Is it noisy? Record it and send it in." }
            (code(&view.qr, &view.url))
            p.sheet-url { (view.url) }
            p { "No account. Listening is enough: three minutes while it happens, squelch open if you can." }
        }
        @if view.shell.may_change() {
            details.remove {
                summary { "Make a new link" }
                p {
                    "The present link and all its prints stop working at once. Receipts that \
                     members have stay valid."
                }
                (form(&view.shell, &format!("/repeater/{}/link/renew", view.id), "row", &html! {
                    button.grave { "Make a new link" }
                }))
            }
        }
    };
    Page {
        way: &[
            ("/".into(), "Repeaters".into()),
            (format!("/repeater/{}", view.id), view.repeater.clone()),
        ],
        ..Page::new(Kind::Desk, "Link for members", &view.shell)
    }
    .around(&body)
}

/// Dark squares on light ones, whatever the colours of the page: telephones want it so.
fn code(qr: &Qr, url: &str) -> Markup {
    let side = qr.side + 2 * QUIET;
    let mut path = String::new();
    for (at, _) in qr.dark.iter().enumerate().filter(|(_, dark)| **dark) {
        let (x, y) = (at % qr.side + QUIET, at / qr.side + QUIET);
        path += &format!("M{x} {y}h1v1h-1z");
    }
    html! {
        svg.qr viewBox=(format!("0 0 {side} {side}")) width="280" height="280" role="img"
            aria-label=(format!("QR code of {url}")) shape-rendering="crispEdges" {
            rect fill="#fff" width=(side) height=(side) {}
            path fill="#000" d=(path) {}
        }
    }
}
