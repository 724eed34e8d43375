//! Who may come in: keepers and readers, their roles, and invitations.

use super::Refusals;
use super::take::{Body, Changes, Path, Reads, words};
use super::types::{InvitationIn, InvitationOut, InvitedOut, KeeperOut, RoleIn};
use crate::desk::http::{Desk, LABEL_CHARS, Told, invitation_link};
use crate::desk::moment::rfc3339;
use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;

/// Everybody whose account is open, in order of name.
#[utoipa::path(get, path = "/keepers", tag = "people",
    responses((status = 200, body = Vec<KeeperOut>), Refusals))]
pub async fn all(State(app): Desk, Reads(by): Reads) -> Told<Json<Vec<KeeperOut>>> {
    let seen = app.store.last_seen().await?;
    let open = app.store.keepers().await?.into_iter();
    let last_seen = |id: &str| seen.iter().find(|(of, _)| of == id).map(|(_, at)| *at);
    Ok(Json(
        open.filter(|keeper| keeper.closed_at.is_none())
            .map(|keeper| KeeperOut {
                last_seen_at: last_seen(&keeper.id).map(rfc3339),
                is_you: keeper.id == by.keeper,
                id: keeper.id,
                name: keeper.name,
                role: keeper.role,
                made_at: rfc3339(keeper.made_at),
            })
            .collect(),
    ))
}

/// Gives somebody another role; the last keeper stays one.
#[utoipa::path(put, path = "/keepers/{id}/role", tag = "people", request_body = RoleIn,
    params(("id" = String, Path)), responses((status = 204), Refusals))]
pub async fn change_role(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
    Body(typed): Body<RoleIn>,
) -> Told<StatusCode> {
    (app.store.change_role(&id, typed.role.word(), &by.name)).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Closes an account with its sessions and tokens; the last keeper's stays.
#[utoipa::path(delete, path = "/keepers/{id}", tag = "people",
    params(("id" = String, Path)), responses((status = 204), Refusals))]
pub async fn remove(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
) -> Told<StatusCode> {
    app.store.close_account(&id, &by.name).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Invitations that nobody has used yet.
#[utoipa::path(get, path = "/invitations", tag = "people",
    responses((status = 200, body = Vec<InvitationOut>), Refusals))]
pub async fn invitations(State(app): Desk, _reads: Reads) -> Told<Json<Vec<InvitationOut>>> {
    let open = app.store.invitations().await?.into_iter();
    Ok(Json(open.map(Into::into).collect()))
}

/// Invites somebody. The link is given this once; whoever opens it in a browser chooses a name and a
/// password.
#[utoipa::path(post, path = "/invitations", tag = "people", request_body = InvitationIn,
    responses((status = 201, body = InvitedOut), Refusals))]
pub async fn invite(
    State(app): Desk,
    Changes(by): Changes,
    Body(typed): Body<InvitationIn>,
) -> Told<(StatusCode, Json<InvitedOut>)> {
    let for_whom = words("for_whom", &typed.for_whom, LABEL_CHARS)?;
    let fresh = (app.store.invite(typed.role.word(), &for_whom, &by.name)).await?;
    let link = invitation_link(&app, &fresh.word);
    let made = InvitedOut { id: fresh.id, link };
    Ok((StatusCode::CREATED, Json(made)))
}

/// Takes an invitation back.
#[utoipa::path(delete, path = "/invitations/{id}", tag = "people",
    params(("id" = String, Path)), responses((status = 204), Refusals))]
pub async fn withdraw(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
) -> Told<StatusCode> {
    app.store.withdraw(&id, &by.name).await?;
    Ok(StatusCode::NO_CONTENT)
}
