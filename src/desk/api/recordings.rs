//! Recordings.

use super::Refusals;
use super::take::{Body, Changes, Path, Query, Reads, paged, some_words, within, words};
use super::types::{CorrectionIn, NoteIn, NoteOut, RecordingOut, RecordingsOut};
use crate::desk::app::App;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::fill::{self, Progress};
use crate::desk::http::{Desk, Fields, Told, filter, known_label, known_mode, sound};
use crate::desk::store::recordings::{Correction, HANG_S};
use axum::Json;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use serde::Deserialize;
use serde_json::Value;
use utoipa::IntoParams;

/// Recordings on a page.
const A_PAGE: i64 = 100;

/// Which recordings.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct ListQuery {
    /// A verdict (corrections counted), or `waiting` or `failed`.
    #[serde(default)]
    #[param(max_length = 120)]
    verdict: String,
    /// First day, such as 2031-05-04.
    #[serde(default)]
    #[param(pattern = "^((1[0-9]{3}|2[0-9]{3})-(0[1-9]|1[0-2])-(0[1-9]|1[0-9]|2[0-8]))?$")]
    from: String,
    /// Last day.
    #[serde(default)]
    #[param(pattern = "^((1[0-9]{3}|2[0-9]{3})-(0[1-9]|1[0-2])-(0[1-9]|1[0-9]|2[0-8]))?$")]
    to: String,
    /// Words in what was said.
    #[serde(default)]
    #[param(max_length = 120)]
    q: String,
    /// Only those that no keeper has opened.
    #[serde(default)]
    unseen: bool,
    /// Page, counted from 1.
    #[param(minimum = 1, maximum = 1_000_000)]
    page: Option<u32>,
}

/// A repeater's recordings, the newest first, a hundred a page.
#[utoipa::path(get, path = "/repeaters/{id}/recordings", tag = "recordings",
    params(("id" = String, Path), ListQuery),
    responses((status = 200, body = RecordingsOut), Refusals))]
pub async fn of_repeater(
    State(app): Desk,
    _reads: Reads,
    Path(id): Path<String>,
    Query(query): Query<ListQuery>,
) -> Told<Json<RecordingsOut>> {
    app.store.repeater(&id).await?;
    Ok(Json(list(&app, &id, query).await?))
}

/// The recordings of all repeaters, the newest first, a hundred a page.
#[utoipa::path(get, path = "/recordings", tag = "recordings", params(ListQuery),
    responses((status = 200, body = RecordingsOut), Refusals))]
pub async fn all(
    State(app): Desk,
    _reads: Reads,
    Query(query): Query<ListQuery>,
) -> Told<Json<RecordingsOut>> {
    Ok(Json(list(&app, "", query).await?))
}

async fn list(app: &App, repeater: &str, query: ListQuery) -> Outcome<RecordingsOut> {
    let part = paged(query.page, A_PAGE)?;
    let asked = [
        ("verdict", query.verdict),
        ("from", query.from),
        ("to", query.to),
        ("q", query.q),
    ];
    let pairs = asked.map(|(name, value)| (name.to_owned(), value));
    let (_, mut filter) = filter(repeater, &Fields(pairs.into()))?;
    filter.unseen = query.unseen;
    Ok(RecordingsOut {
        total: app.store.recordings_count(&filter).await?,
        recordings: (app.store.recordings(&filter, part).await?.into_iter())
            .map(Into::into)
            .collect(),
    })
}

/// One recording.
#[utoipa::path(get, path = "/recordings/{id}", tag = "recordings",
    params(("id" = String, Path)), responses((status = 200, body = RecordingOut), Refusals))]
pub async fn one(
    State(app): Desk,
    _reads: Reads,
    Path(id): Path<String>,
) -> Told<Json<RecordingOut>> {
    Ok(Json(app.store.recording(&id).await?.into()))
}

/// Says that a keeper has seen a recording, as opening its page does.
#[utoipa::path(put, path = "/recordings/{id}/seen", tag = "recordings",
    params(("id" = String, Path)), responses((status = 204), Refusals))]
pub async fn seen(State(app): Desk, _by: Changes, Path(id): Path<String>) -> Told<StatusCode> {
    app.store.recording(&id).await?;
    app.store.seen(&id).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Deletes a recording for good.
#[utoipa::path(delete, path = "/recordings/{id}", tag = "recordings",
    params(("id" = String, Path)),
    responses(
        (status = 204, description = "It is gone."),
        (status = 202, description = "It is gone from the desk. The store of originals does not \
            answer just now: the original is removed as soon as it does."),
        Refusals
    ))]
pub async fn delete(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
) -> Told<StatusCode> {
    match app.store.delete_recording(&id, &by.name).await? {
        Some(place) if !app.remove(&place).await => Ok(StatusCode::ACCEPTED),
        _ => Ok(StatusCode::NO_CONTENT),
    }
}

/// Has a recording analysed again.
#[utoipa::path(post, path = "/recordings/{id}/analysis", tag = "recordings",
    params(("id" = String, Path)), responses((status = 202), Refusals))]
pub async fn again(State(app): Desk, _by: Changes, Path(id): Path<String>) -> Told<StatusCode> {
    app.store.recording(&id).await?;
    app.store.again(&id).await?;
    app.bell.notify_one();
    Ok(StatusCode::ACCEPTED)
}

/// How far a recording's analysis is.
#[utoipa::path(get, path = "/recordings/{id}/progress", tag = "recordings",
    params(("id" = String, Path)), responses((status = 200, body = Progress), Refusals))]
pub async fn progress(
    State(app): Desk,
    _reads: Reads,
    Path(id): Path<String>,
) -> Told<Json<Progress>> {
    let recording = app.store.recording(&id).await?;
    Ok(Json(fill::progress(&app, &recording).await?))
}

/// A recording's result as `tailbeat check --json` prints it.
#[utoipa::path(get, path = "/recordings/{id}/check", tag = "recordings",
    params(("id" = String, Path)), responses((status = 200, body = Object), Refusals))]
pub async fn check(State(app): Desk, _reads: Reads, Path(id): Path<String>) -> Told<Json<Value>> {
    let kept = app.store.result_of(&id).await?.ok_or(Fault::Missing)?;
    Ok(Json(fill::read(&kept.check_json)?))
}

/// A recording's original, whole or in part (`Range`).
#[utoipa::path(get, path = "/recordings/{id}/original", tag = "recordings",
    params(("id" = String, Path)),
    responses(
        (status = 200, description = "The whole.", content_type = "*/*", body = Vec<u8>),
        (status = 206, description = "A part.", content_type = "*/*", body = Vec<u8>),
        (status = 416, description = "There is no such part."),
        Refusals
    ))]
pub async fn original(
    State(app): Desk,
    _reads: Reads,
    Path(id): Path<String>,
    headers: HeaderMap,
) -> Told<Response> {
    let recording = app.store.recording(&id).await?;
    Ok(sound(&app, &recording, &headers).await?)
}

/// Says what it really was, or takes that back: `label` must be there, and only `null` takes back.
#[utoipa::path(put, path = "/recordings/{id}/correction", tag = "recordings",
    request_body = CorrectionIn,
    params(("id" = String, Path)), responses((status = 200, body = RecordingOut), Refusals))]
pub async fn correct(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
    Body(typed): Body<CorrectionIn>,
) -> Told<Json<RecordingOut>> {
    let label = typed.label.as_deref().map(known_label).transpose()?;
    let said = Correction {
        label: label.unwrap_or_default(),
        why: words("why", &typed.why, 8000)?,
        hang_s: within("hang_s", typed.hang_s, &HANG_S)?,
        mode: typed.mode.as_deref().map(known_mode).transpose()?,
    };
    (app.store.correct(&id, label.map(|_| &said), &by.name)).await?;
    Ok(Json(app.store.recording(&id).await?.into()))
}

/// Keepers' notes on a recording, oldest first.
#[utoipa::path(get, path = "/recordings/{id}/notes", tag = "recordings",
    params(("id" = String, Path)), responses((status = 200, body = Vec<NoteOut>), Refusals))]
pub async fn notes(
    State(app): Desk,
    _reads: Reads,
    Path(id): Path<String>,
) -> Told<Json<Vec<NoteOut>>> {
    app.store.recording(&id).await?;
    let notes = app.store.notes_on(&id).await?.into_iter();
    Ok(Json(notes.map(Into::into).collect()))
}

/// Writes a note on a recording.
#[utoipa::path(post, path = "/recordings/{id}/notes", tag = "recordings", request_body = NoteIn,
    params(("id" = String, Path)), responses((status = 204), Refusals))]
pub async fn note(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
    Body(typed): Body<NoteIn>,
) -> Told<StatusCode> {
    let text = some_words("text", &typed.text, 8000)?;
    app.store.recording(&id).await?;
    app.store.note(&id, &text, &by.name).await?;
    Ok(StatusCode::NO_CONTENT)
}
