//! What is answered when something is wrong: a page for people, JSON for programs.

use crate::desk::fault::Fault;
use crate::desk::pages;
use crate::desk::view::{Problem, Shell};
use axum::Json;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use serde_json::json;

/// A fault that becomes a page.
pub struct Page(pub Fault);
/// A fault that becomes JSON.
pub struct Refusal(pub Fault);

/// A page, or a page about what is wrong.
pub type Shown<T = Html<String>> = Result<T, Page>;
/// JSON, or JSON about what is wrong.
pub type Told<T> = Result<T, Refusal>;

/// Seconds after which to ask again when the store of originals is away.
const STORE_BACK_S: &str = "60";

/// A fault that the log must hear of travels with the answer.
#[derive(Clone)]
pub struct Logged(pub String);

impl<F: Into<Fault>> From<F> for Page {
    fn from(fault: F) -> Self {
        Self(fault.into())
    }
}

impl<F: Into<Fault>> From<F> for Refusal {
    fn from(fault: F) -> Self {
        Self(fault.into())
    }
}

impl Fault {
    /// The status of HTTP.
    #[must_use]
    pub fn status(&self) -> StatusCode {
        match self {
            Self::Missing => StatusCode::NOT_FOUND,
            Self::SignIn => StatusCode::UNAUTHORIZED,
            Self::Forbidden => StatusCode::FORBIDDEN,
            Self::Bad(_) | Self::Library(_) if !self.is_ours() => StatusCode::BAD_REQUEST,
            Self::Conflict(_) => StatusCode::CONFLICT,
            Self::TooLarge(_) => StatusCode::PAYLOAD_TOO_LARGE,
            Self::TooMany(_) => StatusCode::TOO_MANY_REQUESTS,
            Self::Io(fault) if fault.kind() == std::io::ErrorKind::StorageFull => {
                StatusCode::INSUFFICIENT_STORAGE
            }
            _ if self.is_store_away() => StatusCode::SERVICE_UNAVAILABLE,
            _ => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// A fixed word for programs.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self.status() {
            StatusCode::NOT_FOUND => "missing",
            StatusCode::UNAUTHORIZED => "sign_in",
            StatusCode::FORBIDDEN => "forbidden",
            StatusCode::BAD_REQUEST => "bad",
            StatusCode::CONFLICT => "conflict",
            StatusCode::PAYLOAD_TOO_LARGE => "too_large",
            StatusCode::TOO_MANY_REQUESTS => "too_many",
            StatusCode::SERVICE_UNAVAILABLE => "store_away",
            StatusCode::INSUFFICIENT_STORAGE => "disk_full",
            _ => "broken",
        }
    }

    /// What the caller is told; of our own faults no more than that they are ours.
    #[must_use]
    pub fn words(&self) -> String {
        if self.status() == StatusCode::INSUFFICIENT_STORAGE {
            return "the desk's disk is full; nothing of this was kept; tell its keeper".into();
        }
        if self.is_store_away() {
            return "the store that keeps the recordings does not answer just now; what it has \
                    confirmed is safe; try again in a few minutes"
                .into();
        }
        if self.is_ours() {
            return "the desk failed; nothing is lost that it has confirmed; try again".into();
        }
        self.to_string()
    }

    /// Puts what the log and the caller's program must know beside an answer.
    pub(super) fn dress(&self, response: &mut Response) {
        if self.is_ours() {
            response.extensions_mut().insert(Logged(self.to_string()));
        }
        let mut put = |name, value: &str| {
            if let Ok(value) = HeaderValue::from_str(value) {
                response.headers_mut().insert(name, value);
            }
        };
        match self {
            Self::TooMany(seconds) => put(header::RETRY_AFTER, &seconds.to_string()),
            Self::TooLarge(_) => put(header::CONNECTION, "close"),
            Self::SignIn => put(header::WWW_AUTHENTICATE, "Bearer"),
            _ if self.is_store_away() => put(header::RETRY_AFTER, STORE_BACK_S),
            _ => {}
        }
    }
}

impl IntoResponse for Page {
    fn into_response(self) -> Response {
        let Self(fault) = self;
        if matches!(fault, Fault::SignIn) {
            return Redirect::to("/sign-in").into_response();
        }
        let what = match fault {
            Fault::Missing | Fault::Forbidden => None,
            _ => Some(fault.words()),
        };
        let page = pages::problem(&Problem {
            shell: Shell::default(),
            status: fault.status().as_u16(),
            what,
        });
        let mut response = (fault.status(), Html(page)).into_response();
        fault.dress(&mut response);
        response
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let Self(fault) = self;
        let body = Json(json!({ "error": fault.words(), "code": fault.code() }));
        let mut response = (fault.status(), body).into_response();
        fault.dress(&mut response);
        response
    }
}

/// The answer to an address that there is not.
pub async fn nothing_here(uri: axum::http::Uri) -> Response {
    if uri.path().starts_with("/api/") {
        Refusal(Fault::Missing).into_response()
    } else {
        Page(Fault::Missing).into_response()
    }
}
