//! Who asks: extractors that let a handler run only for those who may.

use super::answer::Page;
use crate::desk::app::App;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::secrets;
use crate::desk::store::keepers::KEEPER;
use crate::desk::store::rows::Visitor;
use crate::desk::view::{Role, Shell, Who};
use axum::Form;
use axum::extract::{
    ConnectInfo, FromRequest, FromRequestParts, OptionalFromRequestParts, Request,
};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse, Redirect, Response};
use std::net::SocketAddr;
use std::sync::Arc;

/// Cookie of a session; the prefix makes browsers hold it to this host and to TLS.
const SESSION: [&str; 2] = ["desk", "__Host-desk"];
/// Cookie of somebody at the door, against forged sign-ins.
const DOOR: [&str; 2] = ["door", "__Host-door"];

/// Somebody who has signed in, at a page.
pub struct Signed {
    /// Who.
    pub visitor: Visitor,
    /// The session's word.
    pub token: String,
}

/// Somebody who has signed in and posts a form of ours.
pub struct Posted {
    /// Who.
    pub signed: Signed,
    /// The form.
    pub fields: Fields,
}

/// Somebody at the door who posts a form of ours.
pub struct AtDoor {
    /// The form.
    pub fields: Fields,
    /// What the next form must carry.
    pub csrf: String,
}

/// The fields of a form in their order; names may repeat.
#[derive(Debug, Clone, Default)]
pub struct Fields(pub Vec<(String, String)>);

impl Fields {
    /// A field without blanks around it; empty where it is missing.
    #[must_use]
    pub fn get(&self, name: &str) -> &str {
        let found = self.0.iter().find(|(field, _)| field == name);
        found.map_or("", |(_, value)| value.trim())
    }

    /// A field as it was typed, such as a password.
    #[must_use]
    pub fn raw(&self, name: &str) -> &str {
        let found = self.0.iter().find(|(field, _)| field == name);
        found.map_or("", |(_, value)| value)
    }

    /// All fields of a name.
    #[must_use]
    pub fn all(&self, name: &str) -> Vec<&str> {
        let found = self.0.iter().filter(|(field, _)| field == name);
        found.map(|(_, value)| value.trim()).collect()
    }

    /// A field of at most so many characters.
    ///
    /// # Errors
    /// It is longer.
    pub fn short(&self, name: &str, most: usize) -> Outcome<String> {
        let value = self.get(name);
        if value.chars().count() > most {
            return Err(Fault::Bad(format!(
                "the field \"{}\" has more than {most} characters; shorten it",
                called(name)
            )));
        }
        // No database takes it, and nobody types it.
        Ok(value.replace('\0', ""))
    }

    /// The same, which must not be empty.
    ///
    /// # Errors
    /// It is longer, or empty.
    pub fn needed(&self, name: &str, most: usize) -> Outcome<String> {
        let value = self.short(name, most)?;
        if value.is_empty() {
            return Err(Fault::Bad(format!(
                "fill in the field \"{}\"",
                called(name)
            )));
        }
        Ok(value)
    }

    /// Lets on who typed the word that guards a deletion.
    ///
    /// # Errors
    /// It is not there.
    pub fn sure(&self) -> Outcome<()> {
        if self.get("sure") == "delete" {
            return Ok(());
        }
        Err(Fault::Bad(
            "type the word \"delete\" to delete it for good".into(),
        ))
    }

    /// A number within bounds, or nothing.
    ///
    /// # Errors
    /// It is no number, or lies outside.
    pub fn number(&self, name: &str, from: f64, to: f64) -> Outcome<Option<f64>> {
        match self.get(name) {
            "" => Ok(None),
            text => match text.replace(',', ".").parse::<f64>() {
                Ok(number) if (from..=to).contains(&number) => Ok(Some(number)),
                _ => Err(Fault::Bad(format!(
                    "the field \"{}\" is a number from {from} to {to}, not \"{text}\"",
                    called(name)
                ))),
            },
        }
    }
}

/// A field as people read it above where they type; most are called as in the form.
fn called(name: &str) -> &str {
    match name {
        "after" => "load after",
        "days" => "valid for days",
        "for_whom" => "who is it for?",
        "hang_s" => "hang time, seconds",
        "hysteresis_db" => "squelch hysteresis, dB",
        "label" => "what is it for?",
        "noticed" => "what did you notice?",
        "output_mhz" => "output, MHz",
        "q" => "words",
        "said" => "why",
        "sender" => "who are you?",
        "set" => "on what?",
        "tee_loss_db" => "loss of the tee, dB",
        "text" => "a note",
        "word" => "a word to members",
        "work" => "what was done between the two",
        other => other,
    }
}

impl Signed {
    /// What stands around this visitor's pages.
    #[must_use]
    pub fn shell(&self) -> Shell {
        Shell {
            csrf: self.visitor.csrf.clone(),
            keeper: Some(Who {
                name: self.visitor.name.clone(),
                role: role(&self.visitor.role),
            }),
            notice: None,
        }
    }

    /// Lets keepers on.
    ///
    /// # Errors
    /// The visitor is a reader.
    pub fn may_change(&self) -> Outcome<&Visitor> {
        may_change(&self.visitor)
    }
}

/// Lets keepers on.
///
/// # Errors
/// The visitor is a reader.
pub fn may_change(visitor: &Visitor) -> Outcome<&Visitor> {
    if visitor.role == KEEPER {
        Ok(visitor)
    } else {
        Err(Fault::Forbidden)
    }
}

/// A role by its word; the lesser one where it is unknown.
#[must_use]
pub fn role(word: &str) -> Role {
    let found = Role::ALL.into_iter().find(|role| role.as_str() == word);
    found.unwrap_or(Role::Reader)
}

impl FromRequestParts<Arc<App>> for Signed {
    type Rejection = Response;

    async fn from_request_parts(
        parts: &mut Parts,
        app: &Arc<App>,
    ) -> Result<Self, Self::Rejection> {
        let found = match cookie(&parts.headers, name(SESSION, app)) {
            Some(token) => (app.store.visitor(&token).await)
                .map_err(|fault| Page(fault).into_response())?
                .map(|visitor| Self { visitor, token }),
            None => None,
        };
        found.ok_or_else(|| {
            let path = parts.uri.path_and_query().map_or("/", |p| p.as_str());
            let then = if parts.method == axum::http::Method::GET && path != "/" {
                let kept: String = path.bytes().map(escaped).collect();
                format!("/sign-in?then={kept}")
            } else {
                "/sign-in".into()
            };
            Redirect::to(&then).into_response()
        })
    }
}

impl OptionalFromRequestParts<Arc<App>> for Signed {
    type Rejection = Response;

    async fn from_request_parts(
        parts: &mut Parts,
        app: &Arc<App>,
    ) -> Result<Option<Self>, Self::Rejection> {
        match cookie(&parts.headers, name(SESSION, app)) {
            Some(token) => Ok((app.store.visitor(&token).await)
                .map_err(|fault| Page(fault).into_response())?
                .map(|visitor| Self { visitor, token })),
            None => Ok(None),
        }
    }
}

impl FromRequest<Arc<App>> for Posted {
    type Rejection = Response;

    async fn from_request(request: Request, app: &Arc<App>) -> Result<Self, Self::Rejection> {
        let (mut parts, body) = request.into_parts();
        let signed = <Signed as FromRequestParts<_>>::from_request_parts(&mut parts, app).await?;
        let fields = fields(Request::from_parts(parts, body), app).await?;
        if !secrets::same(fields.get("csrf"), &signed.visitor.csrf) {
            return Err(Page(Fault::Forbidden).into_response());
        }
        Ok(Self { signed, fields })
    }
}

impl FromRequest<Arc<App>> for AtDoor {
    type Rejection = Response;

    async fn from_request(request: Request, app: &Arc<App>) -> Result<Self, Self::Rejection> {
        let word = cookie(request.headers(), name(DOOR, app));
        let fields = fields(request, app).await?;
        match word.map(|word| door_csrf(&word)) {
            Some(csrf) if secrets::same(fields.get("csrf"), &csrf) => Ok(Self { fields, csrf }),
            _ => Err(Page(Fault::Bad(
                "this form is too old, or your browser keeps no cookies; go back, load the page \
                 anew and send it again"
                    .into(),
            ))
            .into_response()),
        }
    }
}

/// The fields of a form.
async fn fields(request: Request, app: &Arc<App>) -> Result<Fields, Response> {
    let form = Form::<Vec<(String, String)>>::from_request(request, app).await;
    form.map(|Form(pairs)| Fields(pairs)).map_err(|fault| {
        if fault.status() == axum::http::StatusCode::PAYLOAD_TOO_LARGE {
            Page(Fault::TooLarge("the form is too large".into())).into_response()
        } else {
            Page(Fault::Bad("this is no form of the desk's".into())).into_response()
        }
    })
}

/// Begins a session in the browser.
#[must_use]
pub fn session_cookie(app: &App, token: &str) -> HeaderValue {
    cookie_header(app, SESSION, token, super::door::SESSION_SECONDS)
}

/// Ends it.
#[must_use]
pub fn no_session_cookie(app: &App) -> HeaderValue {
    cookie_header(app, SESSION, "", 0)
}

/// The word of somebody at the door: the one they have, or a new one with its cookie.
#[must_use]
pub fn door(app: &App, headers: &HeaderMap) -> (String, Option<HeaderValue>) {
    match cookie(headers, name(DOOR, app)) {
        Some(word) => (door_csrf(&word), None),
        None => {
            let word = secrets::word();
            let set = cookie_header(app, DOOR, &word, 24 * 3600);
            (door_csrf(&word), Some(set))
        }
    }
}

fn door_csrf(word: &str) -> String {
    secrets::derived(word, "door")
}

/// Who knocks, for limits: the address, or what a trusted proxy says it is.
#[must_use]
pub fn caller(app: &App, headers: &HeaderMap, from: &ConnectInfo<SocketAddr>) -> String {
    let told = headers
        .get("x-forwarded-for")
        .and_then(|value| value.to_str().ok())
        .and_then(|value| value.rsplit(',').next());
    match told {
        Some(address) if app.settings.behind_proxy => address.trim().to_owned(),
        _ => from.0.ip().to_string(),
    }
}

fn name(of: [&'static str; 2], app: &App) -> &'static str {
    let [plain, secure] = of;
    if app.is_secure() { secure } else { plain }
}

fn cookie(headers: &HeaderMap, name: &str) -> Option<String> {
    (headers.get_all(header::COOKIE).iter())
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(found, value)| *found == name && !value.is_empty())
        .map(|(_, value)| value.to_owned())
}

fn cookie_header(app: &App, of: [&'static str; 2], value: &str, seconds: i64) -> HeaderValue {
    let secure = if app.is_secure() { "; Secure" } else { "" };
    let text = format!(
        "{}={value}; Path=/; HttpOnly; SameSite=Lax; Max-Age={seconds}{secure}",
        name(of, app)
    );
    // Our own letters only: it cannot fail.
    HeaderValue::from_str(&text).unwrap_or(HeaderValue::from_static(""))
}

fn escaped(byte: u8) -> String {
    if byte.is_ascii_alphanumeric() || b"/-._~".contains(&byte) {
        char::from(byte).to_string()
    } else {
        format!("%{byte:02X}")
    }
}
