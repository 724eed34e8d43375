//! The keepers' own things: who they are, what was done, their accounts.

use super::Desk;
use super::answer::Shown;
use super::guard::{Fields, Posted, Signed, role};
use super::repeaters::{page_asked, slice};
use crate::desk::app::App;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::store::keepers::{KEEPER, READER};
use crate::desk::store::rows::{self, Visitor};
use crate::desk::view::{
    AccountPage, AuditLine, AuditPage, Invitation, KeeperLine, KeepersPage, NotTaken, TokenLine,
    Who,
};
use crate::desk::{fill, pages, passwords};
use axum::extract::{Path, Query, State};
use axum::response::{Html, IntoResponse, Redirect, Response};

/// Lines of the audit log on a page.
const A_PAGE: i64 = 100;
/// Longest label of a token, or name of an invited person.
pub const LABEL_CHARS: usize = 100;
/// Most days that a token may be valid.
pub const MOST_DAYS: f64 = 3650.0;

/// `GET /keepers`.
pub async fn keepers(State(app): Desk, signed: Signed) -> Shown {
    Ok(Html(shown_keepers(&app, &signed, None, None).await?))
}

async fn shown_keepers(
    app: &App,
    signed: &Signed,
    fresh_link: Option<String>,
    wrong: Option<NotTaken>,
) -> Outcome<String> {
    let seen = app.store.last_seen().await?;
    let keepers = app.store.keepers().await?;
    let view = KeepersPage {
        shell: signed.shell(),
        keepers: (keepers.into_iter().filter(|k| k.closed_at.is_none()))
            .map(|keeper| KeeperLine {
                since: fill::when(keeper.made_at),
                last_seen: (seen.iter().find(|(id, _)| *id == keeper.id))
                    .map(|(_, at)| fill::when(*at)),
                is_you: keeper.id == signed.visitor.keeper,
                who: Who {
                    name: keeper.name,
                    role: role(&keeper.role),
                },
                id: keeper.id,
            })
            .collect(),
        invitations: (app.store.invitations().await?.into_iter())
            .map(|opening| Invitation {
                id: opening.id,
                for_whom: opening.for_whom,
                role: role(&opening.role),
                by: opening.made_by,
                until: fill::when(opening.ends_at),
            })
            .collect(),
        fresh_link,
        wrong,
    };
    Ok(pages::keepers(&view))
}

/// `POST /keepers/invite`.
pub async fn invite(State(app): Desk, posted: Posted) -> Shown<Response> {
    let visitor = posted.signed.may_change()?;
    let invited = async {
        let role = known_role(&posted.fields)?;
        let for_whom = posted.fields.short("for_whom", LABEL_CHARS)?;
        app.store.invite(role, &for_whom, &visitor.name).await
    };
    let page = |link, wrong| shown_keepers(&app, &posted.signed, link, wrong);
    match invited.await {
        Ok(fresh) => {
            let link = invitation_link(&app, &fresh.word);
            Ok(Html(page(Some(link), None).await?).into_response())
        }
        Err(fault) => {
            let again = |wrong| page(None, Some(wrong));
            posted.once_more("invite", fault, again).await
        }
    }
}

/// Where somebody comes in.
pub fn invitation_link(app: &App, word: &str) -> String {
    format!("{}/invited/{word}", app.public)
}

fn known_role(fields: &Fields) -> Outcome<&'static str> {
    match fields.get("role") {
        KEEPER => Ok(KEEPER),
        READER => Ok(READER),
        other => Err(Fault::Bad(format!("\"{other}\" is no role"))),
    }
}

/// `POST /keepers/invitation/{id}/withdraw`.
pub async fn withdraw(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Redirect> {
    let visitor = posted.signed.may_change()?;
    app.store.withdraw(&id, &visitor.name).await?;
    Ok(Redirect::to("/keepers"))
}

/// `POST /keepers/{id}/role`.
pub async fn change_role(
    State(app): Desk,
    Path(id): Path<String>,
    posted: Posted,
) -> Shown<Redirect> {
    let visitor = posted.signed.may_change()?;
    let role = known_role(&posted.fields)?;
    app.store.change_role(&id, role, &visitor.name).await?;
    Ok(Redirect::to("/keepers"))
}

/// `POST /keepers/{id}/remove`.
pub async fn remove(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Redirect> {
    let visitor = posted.signed.may_change()?;
    app.store.close_account(&id, &visitor.name).await?;
    Ok(Redirect::to("/keepers"))
}

/// `GET /audit`.
pub async fn audit(
    State(app): Desk,
    signed: Signed,
    Query(pairs): Query<Vec<(String, String)>>,
) -> Shown {
    // Whom somebody wrongly signed in as is not for readers.
    signed.may_change()?;
    let asked = Fields(pairs);
    let kind = asked.short("what", LABEL_CHARS)?;
    let words = asked.short("q", LABEL_CHARS)?;
    let page = page_asked(&asked);
    let total = app.store.audit_count(&kind, &words).await?;
    let lines = (app.store.audit(&kind, &words, slice(page, A_PAGE))).await?;
    let view = AuditPage {
        shell: signed.shell(),
        lines: (lines.into_iter()).map(audit_line).collect(),
        kinds: app.store.audit_kinds().await?,
        kind,
        words,
        pager: fill::pager(page, total, A_PAGE),
    };
    Ok(Html(pages::audit(&view)))
}

/// A line about something that is still there names it instead of its key.
fn audit_line(line: rows::AuditLine) -> AuditLine {
    let (key, rest) = line.about.split_once(": ").unwrap_or((&line.about, ""));
    let recording = (line.file_name).map(|name| (format!("/recording/{key}"), name));
    let of = recording.or_else(|| (line.title).map(|name| (format!("/case/{key}"), name)));
    AuditLine {
        when: fill::when(line.made_at),
        about: if of.is_some() {
            rest.to_owned()
        } else {
            line.about.clone()
        },
        of,
        who: line.who,
        kind: line.kind,
    }
}

/// `GET /account`.
pub async fn account(State(app): Desk, signed: Signed) -> Shown {
    Ok(Html(shown_account(&app, &signed, None, None).await?))
}

async fn shown_account(
    app: &App,
    signed: &Signed,
    fresh_token: Option<String>,
    wrong: Option<NotTaken>,
) -> Outcome<String> {
    let visitor = &signed.visitor;
    let others = (app.store.other_sessions(&visitor.keeper, &signed.token)).await?;
    let view = AccountPage {
        shell: signed.shell(),
        shortest_password: passwords::SHORTEST,
        tokens: (app.store.bearers(&visitor.keeper).await?.into_iter())
            .map(|bearer| TokenLine {
                id: bearer.id,
                label: bearer.purpose,
                made: fill::when(bearer.made_at),
                until: bearer.ends_at.map(fill::when),
                used: bearer.used_at.map(fill::when),
            })
            .collect(),
        fresh_token,
        other_sessions: usize::try_from(others).unwrap_or(0),
        wrong,
    };
    Ok(pages::account(&view))
}

/// `POST /account/password`: afterwards everybody has to sign in anew.
pub async fn password(State(app): Desk, posted: Posted) -> Shown<Response> {
    let fields = &posted.fields;
    let [old, new, again] = ["old", "password", "again"].map(|name| fields.raw(name));
    let changed = change_password(&app, &posted.signed.visitor, old, new, again).await;
    let page = |wrong| shown_account(&app, &posted.signed, None, Some(wrong));
    let to = changed.map(|()| "/sign-in".into());
    posted.onwards("password", to, page).await
}

/// Puts another password in place, and ends every session. Old ones cannot be guessed this way
/// more often than at the sign-in.
///
/// # Errors
/// Tried too often, the old one is not right, the new one may not be chosen, or the database fails.
pub async fn change_password(
    app: &App,
    of: &Visitor,
    old: &str,
    new: &str,
    again: &str,
) -> Outcome<()> {
    app.sign_ins.knock(&format!("name {}", of.name))?;
    let kept = app.store.keeper_named(&of.name).await?;
    let kept = kept.map(|keeper| keeper.password);
    if !passwords::fits(old.to_owned(), kept).await? {
        return Err(Fault::Bad("the old password is not right".into()));
    }
    passwords::acceptable(new, again)?;
    let kept = passwords::kept(new.to_owned()).await?;
    (app.store.change_password(&of.keeper, &of.name, &kept)).await
}

/// `POST /account/tokens`.
pub async fn new_token(State(app): Desk, posted: Posted) -> Shown<Response> {
    let made = async {
        let label = posted.fields.needed("label", LABEL_CHARS)?;
        let days = posted.fields.number("days", 1.0, MOST_DAYS)?;
        let days = days.map(|days| days as i64);
        (app.store.new_bearer(&posted.signed.visitor, &label, days)).await
    };
    let page = |token, wrong| shown_account(&app, &posted.signed, token, wrong);
    match made.await {
        Ok(fresh) => Ok(Html(page(Some(fresh.word), None).await?).into_response()),
        Err(fault) => {
            let again = |wrong| page(None, Some(wrong));
            posted.once_more("tokens", fault, again).await
        }
    }
}

/// `POST /account/tokens/{id}/revoke`.
pub async fn revoke(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Redirect> {
    app.store.end_bearer(&posted.signed.visitor, &id).await?;
    Ok(Redirect::to("/account"))
}

/// `POST /account/sessions/end`.
pub async fn end_sessions(State(app): Desk, posted: Posted) -> Shown<Redirect> {
    let signed = &posted.signed;
    (app.store.end_other_sessions(&signed.visitor, &signed.token)).await?;
    Ok(Redirect::to("/account"))
}
