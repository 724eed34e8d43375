//! The member's side: send in, come back with the receipt.

use super::Desk;
use super::answer::{Page, Shown, Told as Answered};
use super::files::alone;
use super::guard::{Fields, caller};
use crate::desk::app::{App, Sent};
use crate::desk::arriving::{self, Arriving, Whole};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::fill::{self, Progress};
use crate::desk::store::recordings::Told;
use crate::desk::view::{Limits, Pictures, Receipt, Remarks, SendIn, Shell, Squelch};
use crate::desk::{pages, secrets};
use axum::Json;
use axum::extract::{ConnectInfo, Multipart, Path, State};
use axum::http::{HeaderMap, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use std::net::SocketAddr;
use std::time::Duration;

/// Bytes that the script sends in one request.
pub const CHUNK_BYTES: u64 = 4 * 1024 * 1024;
/// What a form may have beside its file.
const FORM_BYTES: u64 = 64 * 1024;
/// A sender who is silent for so long is gone.
pub const SILENCE: Duration = Duration::from_secs(60);

/// Longest words of a field.
const LINE_CHARS: usize = 200;
/// Longest remarks.
const REMARKS_CHARS: usize = 4000;

/// `GET /to/{key}`.
pub async fn send_in(State(app): Desk, Path(key): Path<String>) -> Shown {
    page(&app, &key, None, Remarks::default()).await
}

async fn page(app: &App, key: &str, refused: Option<String>, typed: Remarks) -> Shown {
    let repeater = app.store.repeater_by_link(key).await?;
    let view = SendIn {
        shell: Shell::default(),
        key: key.to_owned(),
        output: fill::output(&repeater),
        word: Some(repeater.word).filter(|word| !word.is_empty()),
        repeater: repeater.name,
        limits: Limits {
            bytes: app.settings.limits.recording_bytes,
            minutes: u32::try_from(app.settings.bounds.sound_s / 60).unwrap_or(u32::MAX),
            chunk_bytes: CHUNK_BYTES,
        },
        refused,
        typed,
    };
    Ok(Html(pages::send_in(&view)))
}

/// `POST /to/{key}`: one request with everything, as browsers send it without a script.
pub async fn sent(
    State(app): Desk,
    Path(key): Path<String>,
    from: ConnectInfo<SocketAddr>,
    headers: HeaderMap,
    form: Multipart,
) -> Shown<Response> {
    app.senders.knock(&caller(&app, &headers, &from))?;
    let repeater = app.store.repeater_by_link(&key).await?;
    let mut fields = Fields::default();
    match take_all(&app, &repeater.id, &headers, form, &mut fields).await {
        Ok(receipt) => Ok(Redirect::to(&format!("/receipt/{receipt}")).into_response()),
        // Said within the form, so that what was typed is not lost.
        Err(fault) if matches!(fault, Fault::Bad(_)) || fault.is_store_away() => {
            let words = match &fault {
                Fault::Bad(words) => words.clone(),
                _ => format!("your recording was not kept: {}", fault.words()),
            };
            let shown = page(&app, &key, Some(words), remarks(&fields)).await?;
            let mut response = (fault.status(), shown).into_response();
            fault.dress(&mut response);
            Ok(response)
        }
        Err(fault) => Err(Page(fault)),
    }
}

async fn take_all(
    app: &App,
    repeater: &str,
    headers: &HeaderMap,
    form: Multipart,
    fields: &mut Fields,
) -> Outcome<String> {
    app.room_for_one_more(repeater).await?;
    let most = app.settings.limits.recording_bytes;
    let announced = headers
        .get(header::CONTENT_LENGTH)
        .and_then(|value| value.to_str().ok()?.parse::<u64>().ok());
    if announced.is_some_and(|bytes| bytes > most + FORM_BYTES) {
        return Err(arriving::too_large(most));
    }
    let file = parts(app, form, fields).await?;
    let (name, whole) = file.ok_or_else(|| Fault::Bad("choose a file first".into()))?;
    let receipt = secrets::word();
    let sent = Sent {
        repeater,
        file_name: arriving::file_name(&name),
        receipt: receipt.clone(),
        told: told(fields)?,
        upload: None,
    };
    app.receive(whole, sent).await?;
    Ok(receipt)
}

/// Takes a form apart as it comes: the file goes to the disk, the rest is short.
async fn parts(
    app: &App,
    mut form: Multipart,
    fields: &mut Fields,
) -> Outcome<Option<(String, Whole)>> {
    let cut = |_| Fault::Bad("the form broke off; send it again".into());
    let silent = |_| Fault::Bad("nothing came for a minute; send it again".into());
    let mut file = None;
    let mut room = FORM_BYTES;
    while let Some(mut part) = (tokio::time::timeout(SILENCE, form.next_field()).await)
        .map_err(silent)?
        .map_err(cut)?
    {
        let field = part.name().unwrap_or_default().to_owned();
        if field == "recording" {
            let name = part.file_name().unwrap_or_default().to_owned();
            let mut arriving = Arriving::new(&app.incoming(), app.settings.limits.recording_bytes)?;
            while let Some(bytes) = (tokio::time::timeout(SILENCE, part.chunk()).await)
                .map_err(silent)?
                .map_err(cut)?
            {
                arriving.add(&bytes).await?;
            }
            // A browser in which nothing was chosen sends a file without a name and without content.
            if !name.is_empty() || arriving.bytes() > 0 {
                file = Some((name, arriving));
            }
            continue;
        }
        let mut value = Vec::new();
        while let Some(bytes) = part.chunk().await.map_err(cut)? {
            room = room
                .checked_sub(bytes.len() as u64)
                .ok_or_else(|| Fault::TooLarge("the form's words are too long".into()))?;
            value.extend_from_slice(&bytes);
        }
        let value = String::from_utf8_lossy(&value).into_owned();
        fields.0.push((field, value));
    }
    match file {
        Some((name, arriving)) => Ok(Some((name, arriving.finish().await?))),
        None => Ok(None),
    }
}

/// What the sender says, from a form's fields.
///
/// # Errors
/// Something is too long.
pub fn told(fields: &Fields) -> Outcome<Told> {
    let squelch = Squelch::ALL
        .into_iter()
        .find(|s| s.as_str() == fields.get("squelch"));
    Ok(Told {
        place: fields.short("place", LINE_CHARS)?,
        radio: fields.short("set", LINE_CHARS)?,
        squelch: squelch.unwrap_or_default().as_str().into(),
        noticed: fields.short("noticed", REMARKS_CHARS)?,
        sender: fields.short("sender", LINE_CHARS)?,
    })
}

fn remarks(fields: &Fields) -> Remarks {
    Remarks {
        place: fields.get("place").into(),
        set: fields.get("set").into(),
        squelch: fill::squelch(fields.get("squelch")),
        noticed: fields.get("noticed").into(),
        sender: fields.get("sender").into(),
    }
}

/// `GET /receipt/{secret}`.
pub async fn receipt(State(app): Desk, Path(secret): Path<String>) -> Shown {
    let recording = app.store.recording_by_receipt(&secret).await?;
    let repeater = app.store.repeater(&recording.repeater).await?;
    let analysis = fill::analysis(&app, &recording).await?;
    let view = Receipt {
        shell: Shell::default(),
        link: format!("{}/receipt/{secret}", app.public),
        secret,
        repeater: repeater.name,
        // The send-in link may have been renewed to keep this very sender out.
        send_another: None,
        received: fill::when(recording.received_at),
        file: recording.file_name.clone(),
        bytes: recording.bytes.unsigned_abs(),
        sha256: recording.sha256.clone(),
        said: fill::remarks(&recording),
        analysis,
    };
    Ok(Html(pages::receipt(&view)))
}

/// `GET /receipt/{secret}/state`.
pub async fn state(State(app): Desk, Path(secret): Path<String>) -> Answered<Json<Progress>> {
    let recording = app.store.recording_by_receipt(&secret).await?;
    Ok(Json(fill::progress(&app, &recording).await?))
}

/// `GET /receipt/{secret}/timeline.svg`.
pub async fn timeline(State(app): Desk, Path(secret): Path<String>) -> Shown<Response> {
    let recording = app.store.recording_by_receipt(&secret).await?;
    let pictures: Pictures = fill::pictures(&app, &recording.id).await?;
    Ok(alone("image/svg+xml", pictures.file))
}
