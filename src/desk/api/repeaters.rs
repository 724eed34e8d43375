//! Repeaters, and sending in for them.

use super::Refusals;
use super::take::{Body, Changes, Path, Query, Reads, arriving, some_words, within, words};
use super::types::{MonthOut, ReceivedOut, RepeaterIn, RepeaterOut, SquelchWord, months};
use crate::desk::app::Sent;
use crate::desk::arriving::file_name;
use crate::desk::fault::Outcome;
use crate::desk::http::{Desk, Told, delete_all};
use crate::desk::store::recordings::{HANG_S, Told as Remarks};
use crate::desk::store::repeaters::Stated;
use crate::desk::{secrets, trend as months_of};
use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::Deserialize;
use utoipa::IntoParams;

fn checked(typed: RepeaterIn) -> Outcome<Stated> {
    Ok(Stated {
        name: some_words("name", &typed.name, 120)?,
        output_mhz: words("output_mhz", &typed.output_mhz, 20)?,
        place: words("place", &typed.place, 120)?,
        hang_s: within("hang_s", typed.hang_s, &HANG_S)?,
        hysteresis_db: within("hysteresis_db", typed.hysteresis_db, &(0.0..=20.0))?,
        word: words("word", &typed.word, 1000)?,
    })
}

/// All repeaters.
#[utoipa::path(get, path = "/repeaters", tag = "repeaters",
    responses((status = 200, body = Vec<RepeaterOut>), Refusals))]
pub async fn all(State(app): Desk, _reads: Reads) -> Told<Json<Vec<RepeaterOut>>> {
    let all = app.store.repeaters().await?.into_iter();
    Ok(Json(all.map(|r| RepeaterOut::of(r, &app.public)).collect()))
}

/// A new repeater.
#[utoipa::path(post, path = "/repeaters", tag = "repeaters", request_body = RepeaterIn,
    responses((status = 201, body = RepeaterOut), Refusals))]
pub async fn new(
    State(app): Desk,
    Changes(by): Changes,
    Body(typed): Body<RepeaterIn>,
) -> Told<(StatusCode, Json<RepeaterOut>)> {
    let id = app.store.new_repeater(&checked(typed)?, &by.name).await?;
    let made = RepeaterOut::of(app.store.repeater(&id).await?, &app.public);
    Ok((StatusCode::CREATED, Json(made)))
}

/// One repeater.
#[utoipa::path(get, path = "/repeaters/{id}", tag = "repeaters",
    params(("id" = String, Path)), responses((status = 200, body = RepeaterOut), Refusals))]
pub async fn one(
    State(app): Desk,
    _reads: Reads,
    Path(id): Path<String>,
) -> Told<Json<RepeaterOut>> {
    let repeater = app.store.repeater(&id).await?;
    Ok(Json(RepeaterOut::of(repeater, &app.public)))
}

/// States a repeater anew.
#[utoipa::path(put, path = "/repeaters/{id}", tag = "repeaters", request_body = RepeaterIn,
    params(("id" = String, Path)), responses((status = 200, body = RepeaterOut), Refusals))]
pub async fn change(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
    Body(typed): Body<RepeaterIn>,
) -> Told<Json<RepeaterOut>> {
    (app.store.change_repeater(&id, &checked(typed)?, &by.name)).await?;
    let repeater = app.store.repeater(&id).await?;
    Ok(Json(RepeaterOut::of(repeater, &app.public)))
}

/// Makes a new send-in link. The old one opens nothing from then on.
#[utoipa::path(post, path = "/repeaters/{id}/link", tag = "repeaters",
    params(("id" = String, Path)), responses((status = 200, body = RepeaterOut), Refusals))]
pub async fn renew_link(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
) -> Told<Json<RepeaterOut>> {
    app.store.renew_link(&id, &by.name).await?;
    let repeater = app.store.repeater(&id).await?;
    Ok(Json(RepeaterOut::of(repeater, &app.public)))
}

/// Deletes a repeater with its recordings and cases, for good.
#[utoipa::path(delete, path = "/repeaters/{id}", tag = "repeaters",
    params(("id" = String, Path)), responses((status = 204), Refusals))]
pub async fn delete(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
) -> Told<StatusCode> {
    app.store.repeater(&id).await?;
    delete_all(&app, &id, &by.name).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Month by month: cycles per hour, drops that come back, desense.
#[utoipa::path(get, path = "/repeaters/{id}/trend", tag = "repeaters",
    params(("id" = String, Path)), responses((status = 200, body = Vec<MonthOut>), Refusals))]
pub async fn trend(
    State(app): Desk,
    _reads: Reads,
    Path(id): Path<String>,
) -> Told<Json<Vec<MonthOut>>> {
    app.store.repeater(&id).await?;
    let recordings = app.store.trend_recordings(&id).await?;
    let measured = app.store.trend_measured(&id).await?;
    Ok(Json(months(months_of::trend(&recordings, &measured))))
}

/// What is told beside a recording.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct SendInQuery {
    /// Name of the file.
    #[serde(default)]
    #[param(max_length = 200)]
    name: String,
    /// Where it was listened.
    #[serde(default)]
    #[param(max_length = 200)]
    place: String,
    /// On what set.
    #[serde(default)]
    #[param(max_length = 200)]
    set: String,
    /// Whether its squelch was open.
    #[serde(default)]
    #[param(inline)]
    squelch: SquelchWord,
    /// What was noticed.
    #[serde(default)]
    #[param(max_length = 4000)]
    noticed: String,
    /// Who listened; the token's owner where it is left out.
    #[param(max_length = 200)]
    sender: Option<String>,
}

/// Sends a recording in: its bytes are the body. It is kept for good when this is answered.
#[utoipa::path(post, path = "/repeaters/{id}/recordings", tag = "recordings",
    params(("id" = String, Path), SendInQuery),
    request_body(content_type = "application/octet-stream", content = Vec<u8>),
    responses((status = 201, body = ReceivedOut), Refusals))]
pub async fn send_in(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
    Query(query): Query<SendInQuery>,
    body: axum::body::Body,
) -> Told<(StatusCode, Json<ReceivedOut>)> {
    let repeater = app.store.repeater(&id).await?;
    let name = file_name(&words("name", &query.name, 200)?);
    let told = Remarks {
        place: words("place", &query.place, 200)?,
        radio: words("set", &query.set, 200)?,
        squelch: query.squelch.word().into(),
        noticed: words("noticed", &query.noticed, 4000)?,
        sender: words("sender", query.sender.as_ref().unwrap_or(&by.name), 200)?,
    };
    app.room_for_one_more(&repeater.id).await?;
    let file = arriving(&app, body, app.settings.limits.recording_bytes).await?;
    let receipt = secrets::word();
    let sent = Sent {
        repeater: &repeater.id,
        file_name: name,
        receipt: receipt.clone(),
        told,
        upload: None,
    };
    let id = app.receive(file, sent).await?;
    let receipt = format!("{}/receipt/{receipt}", app.public);
    Ok((StatusCode::CREATED, Json(ReceivedOut { id, receipt })))
}
