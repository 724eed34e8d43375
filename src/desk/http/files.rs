//! Files: the program's own, and answers that are files.

use super::answer::Page;
use super::headers::ALONE;
use crate::desk::app::App;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::media::Part;
use crate::desk::store::rows::Recording;
use crate::desk::{assets, media};
use axum::body::Body;
use axum::extract::Path;
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

/// `GET /assets/{name}`.
pub async fn asset(Path(name): Path<String>) -> Response {
    match assets::at(&format!("/assets/{name}")) {
        Some(asset) => {
            let keep = "public, max-age=31536000, immutable";
            let headers = [
                (header::CONTENT_TYPE, asset.media_type),
                (header::CACHE_CONTROL, keep),
            ];
            (headers, asset.text.as_str()).into_response()
        }
        None => Page(Fault::Missing).into_response(),
    }
}

/// A document that stands alone, such as a picture.
#[must_use]
pub fn alone(media_type: &'static str, text: String) -> Response {
    let headers: [(HeaderName, HeaderValue); 2] = [
        (header::CONTENT_TYPE, HeaderValue::from_static(media_type)),
        (
            header::CONTENT_SECURITY_POLICY,
            HeaderValue::from_static(ALONE),
        ),
    ];
    (headers, text).into_response()
}

/// An original, or the part of it that the browser asks for.
///
/// # Errors
/// The store or the database fails.
pub async fn sound(app: &App, recording: &Recording, asked: &HeaderMap) -> Outcome<Response> {
    let length = recording.bytes.unsigned_abs();
    let range = asked
        .get(header::RANGE)
        .and_then(|value| value.to_str().ok());
    let part = media::part(range, length);
    let (first, last) = match part {
        Part::Whole => (0, length.saturating_sub(1)),
        Part::Bytes(first, last) => (first, last),
        Part::Beyond => {
            let whole = [(header::CONTENT_RANGE, format!("bytes */{length}"))];
            return Ok((StatusCode::RANGE_NOT_SATISFIABLE, whole).into_response());
        }
    };
    let place = app.store.place_of(&recording.sha256).await?;
    let stream = app.objects.read(&place, first..last + 1).await?;
    let media_type = media::type_of(&recording.file_name);
    let way = if media_type == media::UNKNOWN {
        "attachment"
    } else {
        "inline"
    };
    let mut response = Response::builder()
        .header(header::CONTENT_TYPE, media_type)
        .header(header::CONTENT_SECURITY_POLICY, ALONE)
        .header(header::ACCEPT_RANGES, "bytes")
        .header(header::CONTENT_LENGTH, last + 1 - first)
        .header(
            header::CONTENT_DISPOSITION,
            format!(
                "{way}; filename*=UTF-8''{}",
                in_header(&recording.file_name)
            ),
        );
    if part != Part::Whole {
        response = response.status(StatusCode::PARTIAL_CONTENT).header(
            header::CONTENT_RANGE,
            format!("bytes {first}-{last}/{length}"),
        );
    }
    (response.body(Body::from_stream(stream))).map_err(|fault| Fault::Broken(fault.to_string()))
}

/// A name as RFC 8187 writes it.
#[must_use]
pub fn in_header(name: &str) -> String {
    let plain = |b: u8| b.is_ascii_alphanumeric() || b"-._".contains(&b);
    (name.bytes())
        .map(|b| {
            if plain(b) {
                char::from(b).to_string()
            } else {
                format!("%{b:02X}")
            }
        })
        .collect()
}
