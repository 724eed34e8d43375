//! How a request's parts are taken, with refusals in JSON.

use crate::desk::app::App;
use crate::desk::arriving::{Arriving, Whole};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::http::{Refusal, SILENCE, may_change, slice};
use crate::desk::store::Slice;
use crate::desk::store::rows::Visitor;
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::header;
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};
use futures_util::StreamExt;
use serde::de::DeserializeOwned;
use std::ops::RangeInclusive;
use std::sync::Arc;

/// Somebody with a bearer token, who may look.
pub struct Reads(pub Visitor);
/// Somebody with a bearer token, who may change things.
pub struct Changes(pub Visitor);
/// A body in JSON.
pub struct Body<T>(pub T);
/// Parts of the path.
pub struct Path<T>(pub T);
/// The query.
pub struct Query<T>(pub T);

impl FromRequestParts<Arc<App>> for Reads {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, app: &Arc<App>) -> Result<Self, Response> {
        let found = visitor(parts, app).await;
        found
            .map(Self)
            .map_err(|fault| Refusal(fault).into_response())
    }
}

impl FromRequestParts<Arc<App>> for Changes {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, app: &Arc<App>) -> Result<Self, Response> {
        let found = visitor(parts, app).await;
        found
            .and_then(|visitor| may_change(&visitor).map(|_| ()).map(|()| Self(visitor)))
            .map_err(|fault| Refusal(fault).into_response())
    }
}

async fn visitor(parts: &Parts, app: &Arc<App>) -> Outcome<Visitor> {
    let header = parts.headers.get(header::AUTHORIZATION);
    let token = header
        .and_then(|value| value.to_str().ok())
        .and_then(|value| value.strip_prefix("Bearer "));
    match token {
        Some(token) => app.store.bearer(token.trim()).await?.ok_or(Fault::SignIn),
        None => Err(Fault::SignIn),
    }
}

/// A body that is a file, as far as it may go.
///
/// # Errors
/// It breaks off, is larger than allowed, or cannot be kept.
pub async fn arriving(app: &App, body: axum::body::Body, most: u64) -> Outcome<Whole> {
    let mut file = Arriving::new(&app.incoming(), most)?;
    let mut stream = body.into_data_stream();
    let cut = || Fault::Bad("the body broke off; send it again".into());
    while let Some(bytes) =
        (tokio::time::timeout(SILENCE, stream.next()).await).map_err(|_| cut())?
    {
        file.add(&bytes.map_err(|_| cut())?).await?;
    }
    file.finish().await
}

impl<T: DeserializeOwned> FromRequest<Arc<App>> for Body<T> {
    type Rejection = Response;

    async fn from_request(request: Request, app: &Arc<App>) -> Result<Self, Response> {
        let taken = axum::Json::<T>::from_request(request, app).await;
        taken.map(|axum::Json(value)| Self(value)).map_err(|fault| {
            let words = fault.body_text();
            let fault = if fault.status() == axum::http::StatusCode::PAYLOAD_TOO_LARGE {
                Fault::TooLarge("the request is too large".into())
            } else {
                Fault::Bad(words)
            };
            Refusal(fault).into_response()
        })
    }
}

impl<T: DeserializeOwned + Send> FromRequestParts<Arc<App>> for Path<T> {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, app: &Arc<App>) -> Result<Self, Response> {
        let taken = axum::extract::Path::<T>::from_request_parts(parts, app).await;
        taken
            .map(|axum::extract::Path(value)| Self(value))
            .map_err(|_| Refusal(Fault::Missing).into_response())
    }
}

impl<T: DeserializeOwned> FromRequestParts<Arc<App>> for Query<T> {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, app: &Arc<App>) -> Result<Self, Response> {
        let taken = axum::extract::Query::<T>::from_request_parts(parts, app).await;
        taken
            .map(|axum::extract::Query(value)| Self(value))
            .map_err(|fault| Refusal(Fault::Bad(fault.body_text())).into_response())
    }
}

/// The part of a list that is on a page; pages count from 1.
///
/// # Errors
/// There is no such page.
pub fn paged(page: Option<u32>, a_page: i64) -> Outcome<Slice> {
    match page.unwrap_or(1) {
        page @ 1..=1_000_000 => Ok(slice(page as usize, a_page)),
        _ => Err(Fault::Bad("pages count from 1 to 1000000".into())),
    }
}

/// A number within bounds, where there is one.
///
/// # Errors
/// It lies outside.
pub fn within(
    name: &str,
    value: Option<f64>,
    bounds: &RangeInclusive<f64>,
) -> Outcome<Option<f64>> {
    match value {
        Some(number) if !bounds.contains(&number) => Err(Fault::Bad(format!(
            "\"{name}\" lies from {} to {}",
            bounds.start(),
            bounds.end()
        ))),
        other => Ok(other),
    }
}

/// Words of at most so many characters; no database takes a NUL.
///
/// # Errors
/// They are longer.
pub fn words(name: &str, value: &str, most: usize) -> Outcome<String> {
    if value.chars().count() > most {
        return Err(Fault::Bad(format!(
            "\"{name}\" has more than {most} characters"
        )));
    }
    Ok(value.trim().replace('\0', ""))
}

/// The same, which must not be empty.
///
/// # Errors
/// They are longer, or empty.
pub fn some_words(name: &str, value: &str, most: usize) -> Outcome<String> {
    let value = words(name, value, most)?;
    if value.is_empty() {
        return Err(Fault::Bad(format!("\"{name}\" is empty")));
    }
    Ok(value)
}
