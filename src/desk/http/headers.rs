//! Around every request: what is allowed to come from another site (nothing that changes
//! anything), what browsers are told, what is counted and logged.

use super::Desk;
use super::answer::{Logged, Page};
use crate::desk::fault::Fault;
use axum::body::HttpBody;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::sync::atomic::Ordering;

/// For pages: own files only, no script or style within.
const PAGES: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
    img-src 'self' data:; media-src 'self' blob:; connect-src 'self'; manifest-src 'self'; \
    form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
/// For pictures and files that are documents of their own: they may look, never act.
pub const ALONE: &str =
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox; frame-ancestors 'none'";

const FIXED: [(HeaderName, &str); 5] = [
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "same-origin"),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    ),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    ),
    (
        HeaderName::from_static("permissions-policy"),
        "microphone=(self), camera=(), geolocation=()",
    ),
];

/// The layer.
pub async fn around(State(app): Desk, request: Request, next: Next) -> Response {
    let method = request.method().clone();
    let path = request.uri().path().to_owned();
    let has_body = request.body().size_hint().exact() != Some(0);
    let mut response = if changes(&method) && is_foreign(request.headers()) {
        Page(Fault::Forbidden).into_response()
    } else {
        next.run(request).await
    };
    let status = response.status().as_u16();
    if let Some(count) = app.counts.answers.get(usize::from(status / 100)) {
        count.fetch_add(1, Ordering::Relaxed);
    }
    if let Some(Logged(words)) = response.extensions().get::<Logged>() {
        (app.log)(&format!("{method} {}: {words}", without_secrets(&path)));
    }
    let headers = response.headers_mut();
    for (name, value) in FIXED {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers
        .entry(header::CONTENT_SECURITY_POLICY)
        .or_insert(HeaderValue::from_static(PAGES));
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    if has_body && status >= 400 {
        // A refusal may leave some of the body unread, which ends the line: said aloud, lest the
        // next request be sent into it.
        headers.insert(header::CONNECTION, HeaderValue::from_static("close"));
    }
    if app.is_secure() {
        headers.insert(
            header::STRICT_TRANSPORT_SECURITY,
            HeaderValue::from_static("max-age=31536000"),
        );
    }
    response
}

fn changes(method: &Method) -> bool {
    !matches!(*method, Method::GET | Method::HEAD | Method::OPTIONS)
}

/// Whether a browser says that another site's page sends this. Programs say nothing.
fn is_foreign(headers: &HeaderMap) -> bool {
    let text = |name: &str| headers.get(name).and_then(|v| v.to_str().ok());
    match text("sec-fetch-site") {
        Some(site) => !matches!(site, "same-origin" | "none"),
        None => match (text("origin"), text("host")) {
            (Some(origin), Some(host)) => {
                origin.split_once("://").map(|(_, rest)| rest) != Some(host)
            }
            _ => false,
        },
    }
}

/// Words that open doors do not belong into a log.
fn without_secrets(path: &str) -> String {
    let mut parts = path.split('/').collect::<Vec<_>>();
    if let [
        _,
        "to" | "receipt" | "setup" | "invited" | "again",
        secret,
        ..,
    ] = parts.as_mut_slice()
    {
        *secret = "…";
    }
    parts.join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(pairs: &[(&'static str, &'static str)]) -> bool {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.insert(*name, HeaderValue::from_static(value));
        }
        is_foreign(&headers)
    }

    #[test]
    fn only_what_comes_from_elsewhere_is_foreign() {
        assert!(!said(&[("host", "desk:1")]));
        assert!(!said(&[("host", "desk:1"), ("origin", "http://desk:1")]));
        assert!(said(&[("host", "desk:1"), ("origin", "http://evil:1")]));
        assert!(said(&[("host", "desk:1"), ("origin", "null")]));
        assert!(said(&[("sec-fetch-site", "cross-site")]));
        assert!(said(&[("sec-fetch-site", "same-site")]));
        assert!(!said(&[
            ("sec-fetch-site", "same-origin"),
            ("origin", "null")
        ]));
    }

    #[test]
    fn the_log_has_no_links() {
        assert_eq!(without_secrets("/to/abc/uploads/x"), "/to/…/uploads/x");
        assert_eq!(without_secrets("/receipt/abc"), "/receipt/…");
        assert_eq!(without_secrets("/again/abc"), "/again/…");
        assert_eq!(without_secrets("/case/abc"), "/case/abc");
    }
}
