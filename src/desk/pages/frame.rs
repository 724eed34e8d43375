//! What stands around every page: its head, the bar, the notice.

use crate::desk::assets::href;
use crate::desk::view::{Role, Shell, When};
use maud::{DOCTYPE, Markup, html};

/// For whom a page is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// For a member with a telephone.
    Member,
    /// A member's receipt, with room for a picture.
    Receipt,
    /// The door: set-up and sign-in.
    Door,
    /// For keepers.
    Desk,
}

/// A page.
pub struct Page<'a> {
    /// For whom.
    pub kind: Kind,
    /// In the browser's bar.
    pub title: &'a str,
    /// Around it.
    pub shell: &'a Shell,
    /// Where it stands below: address and name.
    pub way: &'a [(String, String)],
    /// Scripts beside the common one.
    pub scripts: &'a [&'a str],
    /// Seconds after which a browser without scripts loads the page anew.
    pub again_s: Option<u32>,
}

impl<'a> Page<'a> {
    /// One with neither way nor scripts.
    pub const fn new(kind: Kind, title: &'a str, shell: &'a Shell) -> Self {
        Self {
            kind,
            title,
            shell,
            way: &[],
            scripts: &[],
            again_s: None,
        }
    }

    /// With its body.
    pub fn around(&self, body: &Markup) -> String {
        let class = match self.kind {
            Kind::Member => "member",
            Kind::Receipt => "member receipt",
            Kind::Door => "door",
            Kind::Desk => "desk",
        };
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="color-scheme" content="light dark";
                    meta name="robots" content="noindex, nofollow";
                    @if let Some(seconds) = self.again_s {
                        noscript { meta http-equiv="refresh" content=(seconds); }
                    }
                    title { (self.title) " \u{b7} tailbeat" }
                    link rel="icon" type="image/svg+xml" href=(href("mark.svg"));
                    link rel="stylesheet" href=(href("desk.css"));
                    script src=(href("desk.js")) defer {}
                    @for script in self.scripts { script src=(href(script)) defer {} }
                }
                body class=(class) {
                    a.skip href="#main" { "Skip to the content" }
                    (bar(self.shell))
                    main id="main" {
                        @if !self.way.is_empty() { (way(self.way)) }
                        @if let Some(notice) = &self.shell.notice {
                            p.notice.bad[notice.bad] role=(if notice.bad { "alert" } else { "status" }) {
                                (notice.text)
                            }
                        }
                        (body)
                    }
                }
            }
        };
        page.into_string()
    }
}

fn bar(shell: &Shell) -> Markup {
    html! {
        header.bar {
            div.inner {
                @if let Some(who) = &shell.keeper {
                    a.brand href="/" { (beat_mark()) "tailbeat" }
                    nav aria-label="Desk" {
                        a href="/" { "Repeaters" }
                        a href="/keepers" { "Keepers" }
                        @if who.role == Role::Keeper { a href="/import" { "Import" } }
                        @if who.role == Role::Keeper { a href="/audit" { "Log" } }
                    }
                    div.who {
                        a href="/account" { (who.name) }
                        form method="post" action="/sign-out" {
                            input type="hidden" name="csrf" value=(shell.csrf);
                            button.slim { "Sign out" }
                        }
                    }
                } @else {
                    span.brand { (beat_mark()) "tailbeat" }
                }
            }
        }
    }
}

/// Three beats: a short loss, a long tail.
fn beat_mark() -> Markup {
    html! {
        svg.mark viewBox="0 0 32 32" width="20" height="20" aria-hidden="true" {
            @for x in [2, 13, 24] {
                rect.loss x=(x) y="20" width="6" height="6" {}
                rect.tail x=(x) y="6" width="6" height="13" {}
            }
        }
    }
}

fn way(way: &[(String, String)]) -> Markup {
    html! {
        nav.way aria-label="Where this is" {
            ol {
                @for (address, name) in way {
                    li { a href=(address) { (name) } }
                }
            }
        }
    }
}

/// A moment, in UTC until the script shows it in the reader's own time.
pub fn moment(when: When) -> Markup {
    let stamp = when.0.to_string();
    html! { time datetime=(stamp) { (when.in_words()) } }
}
