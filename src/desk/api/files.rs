//! What leaves the desk as a file, and comes back: the same files as by the pages.

use super::Refusals;
use super::take::{Changes, Path, Reads, arriving};
use super::types::KeyOut;
use crate::desk::bundle::take;
use crate::desk::http::{
    Desk, Told, bundle_of, captions_of, corrections_of, most_of_a_bundle, page_of, picture_of,
    sheet_of,
};
use axum::Json;
use axum::body::Body;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// The whole case as one page that needs nothing else.
#[utoipa::path(get, path = "/cases/{id}/page", tag = "files", params(("id" = String, Path)),
    responses((status = 200, content_type = "text/html", body = String), Refusals))]
pub async fn page(State(app): Desk, Reads(by): Reads, Path(id): Path<String>) -> Told<Response> {
    Ok(page_of(&app, &id, &by.name).await?)
}

/// Before against after on one sheet, once there is something on both sides.
#[utoipa::path(get, path = "/cases/{id}/dossier", tag = "files", params(("id" = String, Path)),
    responses((status = 200, content_type = "text/html", body = String), Refusals))]
pub async fn dossier(State(app): Desk, _reads: Reads, Path(id): Path<String>) -> Told<Response> {
    Ok(sheet_of(&app, &id).await?)
}

/// A recording's timeline as a picture.
#[utoipa::path(get, path = "/recordings/{id}/timeline", tag = "files",
    params(("id" = String, Path)),
    responses((status = 200, content_type = "image/svg+xml", body = String), Refusals))]
pub async fn timeline(State(app): Desk, _reads: Reads, Path(id): Path<String>) -> Told<Response> {
    app.store.recording(&id).await?;
    Ok(picture_of(&app, &id).await?)
}

/// What happens in a recording and when, as captions for a player (WebVTT).
#[utoipa::path(get, path = "/recordings/{id}/captions", tag = "files",
    params(("id" = String, Path)),
    responses((status = 200, content_type = "text/vtt", body = String), Refusals))]
pub async fn captions(State(app): Desk, _reads: Reads, Path(id): Path<String>) -> Told<Response> {
    app.store.recording(&id).await?;
    Ok(captions_of(&app, &id).await?)
}

/// A case as an archive: its originals with their fingerprints, what was typed, and the page.
#[utoipa::path(get, path = "/cases/{id}/bundle", tag = "files", params(("id" = String, Path)),
    responses((status = 200, content_type = "application/zip", body = Vec<u8>), Refusals))]
pub async fn bundle(State(app): Desk, Reads(by): Reads, Path(id): Path<String>) -> Told<Response> {
    Ok(bundle_of(&app, &id, &by.name).await?)
}

/// The recordings whose verdict was corrected, as an archive in the corpus' form.
#[utoipa::path(get, path = "/repeaters/{id}/corrections", tag = "files",
    params(("id" = String, Path)),
    responses((status = 200, content_type = "application/zip", body = Vec<u8>), Refusals))]
pub async fn corrections(
    State(app): Desk,
    Reads(by): Reads,
    Path(id): Path<String>,
) -> Told<Response> {
    Ok(corrections_of(&app, &id, &by.name).await?)
}

/// Takes in an archive that a desk has made of a case; gives the key of the new case.
#[utoipa::path(post, path = "/cases", tag = "files",
    request_body(content_type = "application/octet-stream", content = Vec<u8>),
    responses((status = 201, body = KeyOut), Refusals))]
pub async fn take_in(
    State(app): Desk,
    Changes(by): Changes,
    body: Body,
) -> Told<(StatusCode, Json<KeyOut>)> {
    let file = arriving(&app, body, most_of_a_bundle(&app)).await?;
    let id = take::take(&app, &file, &by.name).await?;
    Ok((StatusCode::CREATED, Json(KeyOut { id })))
}
