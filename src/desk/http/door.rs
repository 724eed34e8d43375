//! Set-up, invitation, sign-in, sign-out.

use super::Desk;
use super::answer::{Page, Shown};
use super::guard::{AtDoor, Fields, Posted, caller, door, no_session_cookie, role, session_cookie};
use crate::desk::app::App;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::moment::SECOND;
use crate::desk::store::sessions::SESSION_IDLE;
use crate::desk::view::{Invited, SetUp, Shell, SignIn};
use crate::desk::{pages, passwords};
use axum::extract::{ConnectInfo, Path, Query, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use serde::Deserialize;
use std::net::SocketAddr;
use std::sync::atomic::Ordering;

/// A browser keeps a session's cookie so long.
pub const SESSION_SECONDS: i64 = SESSION_IDLE / SECOND;
/// Longest name of a keeper.
const NAME_CHARS: usize = 60;

/// `GET /setup/{token}`.
pub async fn set_up(
    State(app): Desk,
    Path(token): Path<String>,
    headers: HeaderMap,
) -> Shown<Response> {
    opening(&app, &token, "setup").await?;
    let (csrf, cookie) = door(&app, &headers);
    let view = naming(&token, csrf, "", None);
    Ok(with_cookie(Html(pages::set_up(&view)), cookie))
}

/// `POST /setup/{token}`.
pub async fn set_up_done(
    State(app): Desk,
    Path(token): Path<String>,
    at_door: AtDoor,
) -> Shown<Response> {
    opening(&app, &token, "setup").await?;
    match enter(&app, &token, &at_door.fields).await {
        Ok(response) => Ok(response),
        Err(fault) => {
            let view = naming(
                &token,
                at_door.csrf,
                at_door.fields.get("name"),
                Some(fault.mendable()?),
            );
            Ok((StatusCode::BAD_REQUEST, Html(pages::set_up(&view))).into_response())
        }
    }
}

/// `GET /invited/{token}`.
pub async fn invited(
    State(app): Desk,
    Path(token): Path<String>,
    headers: HeaderMap,
) -> Shown<Response> {
    let opening = opening(&app, &token, "invitation").await?;
    let (csrf, cookie) = door(&app, &headers);
    let view = Invited {
        form: naming(&token, csrf, "", None),
        by: opening.made_by,
        role: role(&opening.role),
    };
    Ok(with_cookie(Html(pages::invited(&view)), cookie))
}

/// `POST /invited/{token}`.
pub async fn invited_done(
    State(app): Desk,
    Path(token): Path<String>,
    at_door: AtDoor,
) -> Shown<Response> {
    let opening = opening(&app, &token, "invitation").await?;
    match enter(&app, &token, &at_door.fields).await {
        Ok(response) => Ok(response),
        Err(fault) => {
            let name = at_door.fields.get("name");
            let view = Invited {
                form: naming(&token, at_door.csrf, name, Some(fault.mendable()?)),
                by: opening.made_by,
                role: role(&opening.role),
            };
            Ok((StatusCode::BAD_REQUEST, Html(pages::invited(&view))).into_response())
        }
    }
}

/// The query of the sign-in page.
#[derive(Deserialize)]
pub struct Then {
    then: Option<String>,
}

/// `GET /sign-in`.
pub async fn sign_in(State(app): Desk, Query(query): Query<Then>, headers: HeaderMap) -> Response {
    let (csrf, cookie) = door(&app, &headers);
    let view = knocking(csrf, "", query.then.as_deref().unwrap_or_default(), None);
    with_cookie(Html(pages::sign_in(&view)), cookie)
}

/// `POST /sign-in`.
pub async fn sign_in_done(
    State(app): Desk,
    from: ConnectInfo<SocketAddr>,
    headers: HeaderMap,
    at_door: AtDoor,
) -> Shown<Response> {
    // By address and by name: many addresses against one name are one attack too.
    let fields = &at_door.fields;
    let name = fields.get("name");
    app.sign_ins.knock(&caller(&app, &headers, &from))?;
    app.sign_ins.knock(&format!("name {name}"))?;
    let keeper = app.store.keeper_named(name).await?;
    let kept = keeper.as_ref().map(|keeper| keeper.password.clone());
    let fits = passwords::fits(fields.raw("password").to_owned(), kept).await?;
    let Some(keeper) = keeper.filter(|_| fits) else {
        (app.counts.refused_sign_ins).fetch_add(1, Ordering::Relaxed);
        app.store.note_deed(name, "sign-in refused", "").await?;
        let wrong = "the name or the password is not right".to_owned();
        let view = knocking(at_door.csrf, name, fields.get("then"), Some(wrong));
        return Ok((StatusCode::FORBIDDEN, Html(pages::sign_in(&view))).into_response());
    };
    let token = app.store.begin_session(&keeper.id, &keeper.name).await?;
    let to = within(fields.get("then"));
    Ok(with_cookie(
        Redirect::to(to),
        Some(session_cookie(&app, &token)),
    ))
}

/// `POST /sign-out`.
pub async fn sign_out(State(app): Desk, posted: Posted) -> Shown<Response> {
    let signed = posted.signed;
    (app.store.end_session(&signed.token, &signed.visitor.name)).await?;
    let cookie = no_session_cookie(&app);
    Ok(with_cookie(Redirect::to("/sign-in"), Some(cookie)))
}

async fn opening(app: &App, token: &str, kind: &str) -> Outcome<crate::desk::store::rows::Opening> {
    let found = app.store.opening(token).await?;
    found.filter(|o| o.kind == kind).ok_or(Fault::Missing)
}

/// Makes the account and goes in.
async fn enter(app: &App, token: &str, fields: &Fields) -> Outcome<Response> {
    let name = fields.needed("name", NAME_CHARS)?;
    passwords::acceptable(fields.raw("password"), fields.raw("again"))?;
    let kept = passwords::kept(fields.raw("password").to_owned()).await?;
    let id = app.store.enter(token, &name, &kept).await?;
    let session = app.store.begin_session(&id, &name).await?;
    Ok(with_cookie(
        Redirect::to("/"),
        Some(session_cookie(app, &session)),
    ))
}

/// What can be mended is said in the form; the rest is a page of its own.
pub(super) trait Mendable {
    fn mendable(self) -> Result<String, Page>;
}

impl Mendable for Fault {
    fn mendable(self) -> Result<String, Page> {
        match self {
            Self::Bad(words) | Self::Conflict(words) => Ok(words),
            other => Err(Page(other)),
        }
    }
}

pub(super) fn naming(token: &str, csrf: String, name: &str, wrong: Option<String>) -> SetUp {
    SetUp {
        shell: at_door_shell(csrf),
        token: token.into(),
        name: name.into(),
        shortest_password: passwords::SHORTEST,
        wrong,
    }
}

fn knocking(csrf: String, name: &str, then: &str, wrong: Option<String>) -> SignIn {
    SignIn {
        shell: at_door_shell(csrf),
        name: name.into(),
        then: within(then).into(),
        wrong,
    }
}

fn at_door_shell(csrf: String) -> Shell {
    Shell {
        csrf,
        ..Shell::default()
    }
}

/// A path of this desk; whatever could lead elsewhere leads to the first page.
fn within(then: &str) -> &str {
    let elsewhere = |c: char| c.is_control() || c == '\\';
    if then.starts_with('/') && !then.starts_with("//") && !then.contains(elsewhere) {
        then
    } else {
        "/"
    }
}

pub(super) fn with_cookie(response: impl IntoResponse, cookie: Option<HeaderValue>) -> Response {
    let mut response = response.into_response();
    if let Some(cookie) = cookie {
        response.headers_mut().append(header::SET_COOKIE, cookie);
    }
    response
}

#[cfg(test)]
mod tests {
    use super::within;

    #[test]
    fn nobody_is_led_elsewhere() {
        assert_eq!(within("/case/x?y=z"), "/case/x?y=z");
        for then in ["", "http://evil", "//evil", "/\\evil", "\\\\evil", "/a\nb"] {
            assert_eq!(within(then), "/", "{then}");
        }
    }
}
