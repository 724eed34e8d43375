//! A new password by a link that the machine gave.

use super::Desk;
use super::answer::Shown;
use super::door::{Mendable, naming, with_cookie};
use super::guard::{AtDoor, Fields, door, role, session_cookie};
use crate::desk::app::App;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::store::rows::Keeper;
use crate::desk::view::ComeBack;
use crate::desk::{pages, passwords};
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{Html, IntoResponse, Redirect, Response};

/// `GET /again/{token}`.
pub async fn page(
    State(app): Desk,
    Path(token): Path<String>,
    headers: HeaderMap,
) -> Shown<Response> {
    let keeper = let_in(&app, &token).await?;
    let (csrf, cookie) = door(&app, &headers);
    let view = view(&keeper, &token, csrf, None);
    Ok(with_cookie(Html(pages::come_back(&view)), cookie))
}

/// `POST /again/{token}`.
pub async fn done(State(app): Desk, Path(token): Path<String>, at_door: AtDoor) -> Shown<Response> {
    let keeper = let_in(&app, &token).await?;
    match come_back(&app, &token, &at_door.fields).await {
        Ok(response) => Ok(response),
        Err(fault) => {
            let view = view(&keeper, &token, at_door.csrf, Some(fault.mendable()?));
            Ok((StatusCode::BAD_REQUEST, Html(pages::come_back(&view))).into_response())
        }
    }
}

async fn let_in(app: &App, token: &str) -> Outcome<Keeper> {
    (app.store.readmitted(token).await?).ok_or(Fault::Missing)
}

/// Takes the new password and goes in.
async fn come_back(app: &App, token: &str, fields: &Fields) -> Outcome<Response> {
    passwords::acceptable(fields.raw("password"), fields.raw("again"))?;
    let kept = passwords::kept(fields.raw("password").to_owned()).await?;
    let keeper = app.store.come_back(token, &kept).await?;
    let session = (app.store.begin_session(&keeper.id, &keeper.name)).await?;
    let cookie = session_cookie(app, &session);
    Ok(with_cookie(Redirect::to("/"), Some(cookie)))
}

fn view(keeper: &Keeper, token: &str, csrf: String, wrong: Option<String>) -> ComeBack {
    ComeBack {
        form: naming(token, csrf, &keeper.name, wrong),
        role: role(&keeper.role),
    }
}
