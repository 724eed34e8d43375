//! Keepers, log, account, import.

use super::fields::{Field, Forms, form, token, wrong};
use super::frame::{Kind, Page, moment};
use super::{lists, words};
use crate::desk::view::{
    AccountPage, AuditLine, AuditPage, ImportPage, KeeperLine, KeepersPage, Role, When,
};
use maud::{Markup, html};

/// Who may come in.
#[must_use]
pub fn keepers(view: &KeepersPage) -> String {
    let may = view.shell.may_change();
    let forms = Forms(&view.wrong);
    let typed = |name, usual| forms.typed("invite", name, usual);
    let body = html! {
        h1 { "Keepers" }
        @if let Some(link) = &view.fresh_link {
            div.notice role="status" {
                p { "Give this link to the person you invited. It is shown now and never again, and works once:" }
                p.link { code data-copy { (link) } }
            }
        }
        ul.log.people { @for keeper in &view.keepers { li { (person(view, keeper, may)) } } }
        @if may {
            section id="invite" {
                h2 { "Invite somebody" }
                (forms.refused("invite"))
                (form(&view.shell, "/keepers/invite", "row roomy", &html! {
                    (Field::new("for_whom", "Who is it for?", typed("for_whom", "")).needed().show())
                    (Field::new("role", "As", typed("role", Role::Reader.as_str())).id("invite-role").one_of(&roles()))
                    button.main { "Make the link" }
                }))
            }
        }
        @if !view.invitations.is_empty() {
            section {
                h2 { "Invitations not used yet" }
                ul.log.people {
                    @for open in &view.invitations {
                        li {
                            div.what { b { (open.for_whom) } p.quiet { (words::role(open.role)) } }
                            div.outcome { p.quiet { "by " (open.by) ", valid until " (moment(open.until)) } }
                            @if may {
                                (form(&view.shell, &format!("/keepers/invitation/{}/withdraw", open.id), "", &html! {
                                    button.slim { "Withdraw" }
                                }))
                            }
                        }
                    }
                }
            }
        }
    };
    Page::new(Kind::Desk, "Keepers", &view.shell).around(&body)
}

fn roles() -> Vec<(String, String)> {
    (Role::ALL.iter())
        .map(|role| (role.as_str().to_owned(), words::role(*role).to_owned()))
        .collect()
}

fn person(view: &KeepersPage, keeper: &KeeperLine, may: bool) -> Markup {
    let (id, name) = (&keeper.id, &keeper.who.name);
    let field = format!("role-{id}");
    let label = format!("What {name} may do");
    html! {
        div.what {
            b { (name) } @if keeper.is_you { " (you)" }
            p.quiet { (words::role(keeper.who.role)) }
        }
        div.outcome {
            p.quiet {
                "since " (moment(keeper.since)) ", "
                (last(keeper.last_seen, "not signed in yet", "last here "))
            }
        }
        @if may && !keeper.is_you {
            details {
                summary aria-label=(format!("Change {name}")) { "Change" }
                (form(&view.shell, &format!("/keepers/{id}/role"), "row roomy", &html! {
                    (Field::new("role", &label, keeper.who.role.as_str()).id(&field).one_of(&roles()))
                    button { "Keep this" }
                }))
                (form(&view.shell, &format!("/keepers/{id}/remove"), "row", &html! {
                    button.grave { "Remove " (name) }
                }))
            }
        }
    }
}

fn last(when: Option<When>, never: &str, lead: &str) -> Markup {
    match when {
        Some(when) => html! { (lead) (moment(when)) },
        None => html! { (never) },
    }
}

/// What was done by whom.
#[must_use]
pub fn audit(view: &AuditPage) -> String {
    let mut kinds = vec![(String::new(), "everything".to_owned())];
    kinds.extend(view.kinds.iter().map(|kind| (kind.clone(), said(kind))));
    let address = format!(
        "/audit?what={}&q={}&page=",
        lists::in_address(&view.kind),
        lists::in_address(&view.words)
    );
    let body = html! {
        h1 { "Log" }
        p.lead { "Sign-ins, verdicts corrected, exports, deletions: who did what, and when." }
        form.filters method="get" action="/audit" role="search" {
            div.row {
                (Field::new("what", "What", &view.kind).one_of(&kinds))
                (Field::new("q", "Words", &view.words).kind("search").show())
                button { "Show" }
            }
        }
        @if view.lines.is_empty() { p { "Nothing like that was done." } }
        @else {
            ul.log.audit {
                @for line in &view.lines {
                    li {
                        div.when { (moment(line.when)) }
                        div.what { b { (said(&line.kind)) } (about(line)) }
                        div.outcome { (line.who) }
                    }
                }
            }
            (lists::pager(view.pager, &address))
        }
    };
    Page::new(Kind::Desk, "Log", &view.shell).around(&body)
}

/// What it was done to, and what became of it. Verdicts and states are fixed words.
fn about(line: &AuditLine) -> Markup {
    let rest = match line.kind.as_str() {
        "corrected a verdict" => words::known_verdict(&line.about).map(str::to_owned),
        "moved a case" => Some(said(&line.about)),
        // The key of a test, which is no longer there.
        "deleted a test" if line.of.is_some() => Some(String::new()),
        _ => None,
    };
    let rest = rest.unwrap_or_else(|| line.about.clone());
    html! {
        p.quiet {
            @if let Some((address, name)) = &line.of {
                a href=(address) { (name) }
                @if !rest.is_empty() { ": " }
            }
            (rest)
        }
    }
}

/// A fixed word for people: `signed_in` as `signed in`.
fn said(kind: &str) -> String {
    kind.replace('_', " ")
}

/// One's own things.
#[must_use]
pub fn account(view: &AccountPage) -> String {
    let name = view.shell.keeper.as_ref().map_or("", |who| &who.name);
    let length = format!("{} characters or more.", view.shortest_password);
    let body = html! {
        h1 { "Account of " (name) }
        div.two {
            section id="new-password" {
                h2 { "Password" }
                (Forms(&view.wrong).refused("password"))
                (form(&view.shell, "/account/password#new-password", "stack tight", &html! {
                    // For the browser's own keeper of passwords.
                    input name="user" value=(name) autocomplete="username" aria-label="Name" hidden;
                    (Field::new("old", "Present password", "").kind("password").needed()
                        .autocomplete("current-password").show())
                    (Field::new("password", "New password", "").kind("password").needed()
                        .hint(&length).autocomplete("new-password").show())
                    (Field::new("again", "The new one once more", "").kind("password").needed()
                        .autocomplete("new-password").show())
                    button { "Change it" }
                }))
            }
            section {
                h2 { "Elsewhere" }
                @if view.other_sessions == 0 { p { "You are signed in here and nowhere else." } }
                @else {
                    p { "You are signed in on " (lists::counted(view.other_sessions, "other browser", "other browsers")) "." }
                    (form(&view.shell, "/account/sessions/end", "row", &html! {
                        button { "Sign out everywhere else" }
                    }))
                }
            }
        }
        (tokens(view))
    };
    Page::new(Kind::Desk, "Account", &view.shell).around(&body)
}

fn tokens(view: &AccountPage) -> Markup {
    let forms = Forms(&view.wrong);
    let typed = |name, usual| forms.typed("tokens", name, usual);
    html! {
        section id="tokens" {
            h2 { "Tokens for programs" }
            p {
                "A program that shows a token may do what you may, by the interface described at "
                a.code href="/api/v1/openapi.json" { "/api/v1/openapi.json" } "."
            }
            @if let Some(token) = &view.fresh_token {
                div.notice role="status" {
                    p { "The new token. It is shown now and never again:" }
                    p.link { code data-copy { (token) } }
                }
            }
            @if !view.tokens.is_empty() {
                ul.log.people {
                    @for token in &view.tokens {
                        li {
                            div.what {
                                b { (token.label) }
                                p.quiet { "made " (moment(token.made)) ", " (last(token.used, "never used", "last used ")) }
                            }
                            div.outcome { p.quiet { (last(token.until, "valid until revoked", "valid until ")) } }
                            (form(&view.shell, &format!("/account/tokens/{}/revoke", token.id), "", &html! {
                                button.slim aria-label=(format!("Revoke {}", token.label)) { "Revoke" }
                            }))
                        }
                    }
                }
            }
            (forms.refused("tokens"))
            (form(&view.shell, "/account/tokens#tokens", "row", &html! {
                (Field::new("label", "What is it for?", typed("label", "")).needed().show())
                (Field::new("days", "Valid for days", typed("days", "365")).number().show())
                button { "Make a token" }
            }))
        }
    }
}

/// A case from another desk.
#[must_use]
pub fn import(view: &ImportPage) -> String {
    let most = format!(
        "An archive as a case's page makes it, up to {}.",
        words::size(view.most_bytes)
    );
    let body = html! {
        h1 { "Import a case" }
        p.lead {
            "Brings in a case that another desk gave out: its recordings, tests, readings, chain \
             and notes. Every file is compared with its fingerprint first."
        }
        (wrong(view.wrong.as_deref()))
        div.slender {
            form.stack method="post" action="/import" enctype="multipart/form-data" {
                (token(&view.shell))
                div.field {
                    label for="bundle" { "Archive" }
                    p.hint id="bundle-hint" { (most) }
                    input id="bundle" name="bundle" type="file" accept=".zip,application/zip"
                        required aria-describedby="bundle-hint";
                }
                button.main { "Import it" }
            }
        }
    };
    Page {
        way: &[("/".into(), "Repeaters".into())],
        ..Page::new(Kind::Desk, "Import a case", &view.shell)
    }
    .around(&body)
}
