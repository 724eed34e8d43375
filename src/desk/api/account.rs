//! The token's owner: who they are, their password, their tokens, their sessions.

use super::Refusals;
use super::take::{Body, Path, Reads, some_words, within};
use super::types::{AccountOut, PasswordIn, TokenIn, TokenOut, WordOut};
use crate::desk::http::{Desk, LABEL_CHARS, MOST_DAYS, Told, change_password};
use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;

/// No browser's session: everything that is kept is the digest of a word.
const NO_SESSION: &str = "";

/// Whose token this is.
#[utoipa::path(get, path = "/account", tag = "account",
    responses((status = 200, body = AccountOut), Refusals))]
pub async fn own(State(app): Desk, Reads(by): Reads) -> Told<Json<AccountOut>> {
    let sessions = app.store.other_sessions(&by.keeper, NO_SESSION).await?;
    Ok(Json(AccountOut {
        id: by.keeper,
        name: by.name,
        role: by.role,
        sessions,
    }))
}

/// Puts another password in place of the old one, and signs out every browser. Tokens stay.
#[utoipa::path(put, path = "/account/password", tag = "account", request_body = PasswordIn,
    responses((status = 204), Refusals))]
pub async fn password(
    State(app): Desk,
    Reads(by): Reads,
    Body(typed): Body<PasswordIn>,
) -> Told<StatusCode> {
    // A page has it typed twice against slips of the finger, which programs do not make.
    change_password(&app, &by, &typed.old, &typed.new, &typed.new).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// The tokens of this account; their words are not kept.
#[utoipa::path(get, path = "/account/tokens", tag = "account",
    responses((status = 200, body = Vec<TokenOut>), Refusals))]
pub async fn tokens(State(app): Desk, Reads(by): Reads) -> Told<Json<Vec<TokenOut>>> {
    let tokens = app.store.bearers(&by.keeper).await?.into_iter();
    Ok(Json(tokens.map(Into::into).collect()))
}

/// Makes a token, which is given this once. It does not outlive the one that it is asked for with.
#[utoipa::path(post, path = "/account/tokens", tag = "account", request_body = TokenIn,
    responses((status = 201, body = WordOut), Refusals))]
pub async fn new_token(
    State(app): Desk,
    Reads(by): Reads,
    Body(typed): Body<TokenIn>,
) -> Told<(StatusCode, Json<WordOut>)> {
    let label = some_words("label", &typed.label, LABEL_CHARS)?;
    let days = within("days", typed.days.map(f64::from), &(1.0..=MOST_DAYS))?;
    let days = days.map(|days| days as i64);
    let fresh = app.store.new_bearer(&by, &label, days).await?;
    let made = WordOut {
        id: fresh.id,
        token: fresh.word,
    };
    Ok((StatusCode::CREATED, Json(made)))
}

/// Takes a token back.
#[utoipa::path(delete, path = "/account/tokens/{id}", tag = "account",
    params(("id" = String, Path)), responses((status = 204), Refusals))]
pub async fn revoke(
    State(app): Desk,
    Reads(by): Reads,
    Path(id): Path<String>,
) -> Told<StatusCode> {
    app.store.end_bearer(&by, &id).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Signs out every browser of this account.
#[utoipa::path(delete, path = "/account/sessions", tag = "account",
    responses((status = 204), Refusals))]
pub async fn end_sessions(State(app): Desk, Reads(by): Reads) -> Told<StatusCode> {
    app.store.end_other_sessions(&by, NO_SESSION).await?;
    Ok(StatusCode::NO_CONTENT)
}
