//! Uploads in parts, for telephones on bad networks: begin, ask how far it got, append, finish.
//! Offsets travel as in the IETF's draft on resumable uploads; each step may be repeated.

use super::Desk;
use super::answer::{Refusal, Told};
use super::guard::{Fields, caller};
use super::member::{SILENCE, told};
use crate::desk::app::{App, Sent};
use crate::desk::arriving;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::secrets;
use crate::desk::store::rows::Upload;
use axum::body::Body;
use axum::extract::{ConnectInfo, Path, State};
use axum::http::{HeaderMap, HeaderName, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::{Form, Json};
use futures_util::StreamExt;
use serde_json::json;
use std::net::SocketAddr;
use std::path::PathBuf;
use tokio::io::AsyncWriteExt;

/// First letters of the files' names.
pub const PREFIX: &str = "part-";
/// Uploads of one repeater that are under way.
const MOST_OPEN: i64 = 400;

const OFFSET: HeaderName = HeaderName::from_static("upload-offset");
const LENGTH: HeaderName = HeaderName::from_static("upload-length");

/// A form's fields, without a session.
type Typed = Form<Vec<(String, String)>>;

/// `POST /to/{key}/uploads`: `name`, `bytes`.
pub async fn begin(
    State(app): Desk,
    Path(key): Path<String>,
    from: ConnectInfo<SocketAddr>,
    headers: HeaderMap,
    Form(pairs): Typed,
) -> Result<Response, Refusal> {
    app.senders.knock(&caller(&app, &headers, &from))?;
    let repeater = app.store.repeater_by_link(&key).await?;
    let fields = Fields(pairs);
    let bytes: i64 = fields
        .get("bytes")
        .parse()
        .ok()
        .filter(|bytes| *bytes >= 0)
        .ok_or_else(|| Fault::Bad("\"bytes\" is the length of the file".into()))?;
    let most = app.settings.limits.recording_bytes;
    if bytes.unsigned_abs() > most {
        return Err(Refusal(arriving::too_large(most)));
    }
    app.room_for_one_more(&repeater.id).await?;
    let name = arriving::file_name(fields.get("name"));
    let token = (app.store)
        .begin_upload(&repeater.id, &name, bytes, MOST_OPEN)
        .await?;
    let body = Json(json!({ "upload": token, "offset": 0 }));
    Ok((StatusCode::CREATED, body).into_response())
}

/// `HEAD /to/{key}/uploads/{upload}`.
pub async fn offset(
    State(app): Desk,
    Path((key, token)): Path<(String, String)>,
) -> Told<Response> {
    let upload = find(&app, &key, &token).await?;
    let at = if upload.recording.is_some() {
        upload.length.unsigned_abs()
    } else {
        there(&file(&app, &upload)).await?
    };
    let headers = [
        (OFFSET, at.to_string()),
        (LENGTH, upload.length.to_string()),
    ];
    Ok((StatusCode::NO_CONTENT, headers).into_response())
}

/// `PATCH /to/{key}/uploads/{upload}`.
pub async fn append(
    State(app): Desk,
    Path((key, token)): Path<(String, String)>,
    from: ConnectInfo<SocketAddr>,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Refusal> {
    app.senders.knock(&caller(&app, &headers, &from))?;
    let upload = find(&app, &key, &token).await?;
    let _alone = app.occupy(&token)?;
    let path = file(&app, &upload);
    let at = there(&path).await?;
    let stated = headers
        .get(OFFSET)
        .and_then(|value| value.to_str().ok()?.parse().ok());
    if upload.recording.is_some() || stated != Some(at) {
        return Ok(elsewhere(at));
    }
    let most = upload.length.unsigned_abs();
    let mut out = (tokio::fs::OpenOptions::new().append(true).create(true))
        .open(&path)
        .await
        .map_err(Fault::from)?;
    let mut stream = body.into_data_stream();
    let mut now = at;
    // What has come stays, also when the rest does not: the sender asks how far it got.
    while let Ok(Some(Ok(bytes))) = tokio::time::timeout(SILENCE, stream.next()).await {
        now += bytes.len() as u64;
        if now > most {
            let words = format!("more bytes than the {most} that were announced");
            return Err(Refusal(Fault::TooLarge(words)));
        }
        out.write_all(&bytes).await.map_err(Fault::from)?;
    }
    out.flush().await.map_err(Fault::from)?;
    Ok((StatusCode::NO_CONTENT, [(OFFSET, now.to_string())]).into_response())
}

/// `POST /to/{key}/uploads/{upload}/finish`: what the sender says.
pub async fn finish(
    State(app): Desk,
    Path((key, token)): Path<(String, String)>,
    Form(pairs): Typed,
) -> Result<Response, Refusal> {
    let upload = find(&app, &key, &token).await?;
    // The same word each time: an answer that was lost on its way can be asked for again.
    let receipt = secrets::derived(&token, "receipt");
    let answer = Json(json!({ "receipt": format!("/receipt/{receipt}") }));
    if upload.recording.is_some() {
        return Ok(answer.into_response());
    }
    let _alone = app.occupy(&token)?;
    let path = file(&app, &upload);
    let at = there(&path).await?;
    if at != upload.length.unsigned_abs() {
        return Ok(elsewhere(at));
    }
    let whole = if at == 0 {
        return Err(Refusal(arriving::empty()));
    } else {
        arriving::from_parts(path).await?
    };
    let sent = Sent {
        repeater: &upload.repeater,
        file_name: upload.name,
        receipt,
        told: told(&Fields(pairs))?,
        upload: Some(&secrets::kept(&token)),
    };
    app.receive(whole, sent).await?;
    Ok(answer.into_response())
}

async fn find(app: &App, key: &str, token: &str) -> Outcome<Upload> {
    let repeater = app.store.repeater_by_link(key).await?;
    app.store.upload(&repeater.id, token).await
}

fn file(app: &App, upload: &Upload) -> PathBuf {
    app.incoming().join(format!("{PREFIX}{}", upload.file))
}

/// Bytes that are there.
async fn there(path: &std::path::Path) -> Outcome<u64> {
    match tokio::fs::metadata(path).await {
        Ok(facts) => Ok(facts.len()),
        Err(fault) if fault.kind() == std::io::ErrorKind::NotFound => Ok(0),
        Err(fault) => Err(fault.into()),
    }
}

/// The sender thinks that it got elsewhere; this is where.
fn elsewhere(at: u64) -> Response {
    let body = Json(json!({
        "error": format!("{at} bytes are here; go on from there"),
        "code": "offset",
    }));
    (StatusCode::CONFLICT, [(OFFSET, at.to_string())], body).into_response()
}
