//! One recording, for keepers.

use super::answer::{Shown, Told};
use super::files::{alone, sound};
use super::guard::{Fields, Posted, Signed};
use super::{Desk, TITLE_CHARS};
use crate::cause::verdict::{Cause, Label};
use crate::desk::app::App;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::fill::{self, Progress};
use crate::desk::store::recordings::{Correction, HANG_S};
use crate::desk::store::rows::Recording;
use crate::desk::view::{CaseChoice, Corrected, Note, Phase, RecordingPage, Shell};
use crate::desk::{media, pages};
use crate::timeline::types::ListeningMode;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::HeaderMap;
use axum::response::{Html, Redirect, Response};

/// Longest note.
const NOTE_CHARS: usize = 8000;

/// `GET /recording/{id}`.
pub async fn page(
    State(app): Desk,
    signed: Signed,
    Path(id): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Shown {
    let recording = app.store.recording(&id).await?;
    // Readers change nothing: what no keeper has opened stays new for the keepers.
    if signed.may_change().is_ok() {
        app.store.seen(&id).await?;
    }
    let view = RecordingPage {
        still: Fields(asked).get("still") == "yes",
        ..view(&app, recording, signed.shell()).await?
    };
    Ok(Html(pages::recording(&view)))
}

/// `GET /recording/{id}/state`, for the script of its page.
pub async fn state(
    State(app): Desk,
    _signed: Signed,
    Path(id): Path<String>,
) -> Told<Json<Progress>> {
    let recording = app.store.recording(&id).await?;
    Ok(Json(fill::progress(&app, &recording).await?))
}

/// A recording as its page shows it.
///
/// # Errors
/// What is kept is damaged, or the database fails.
pub async fn view(app: &App, recording: Recording, shell: Shell) -> Outcome<RecordingPage> {
    let id = recording.id.clone();
    let repeater = app.store.repeater(&recording.repeater).await?;
    let in_cases = app.store.cases_of(&repeater.id).await?;
    let cases = app.store.cases(&repeater.id).await?;
    Ok(RecordingPage {
        shell,
        repeater_id: repeater.id,
        repeater: repeater.name,
        media_type: media::type_of(&recording.file_name).into(),
        size_bytes: recording.bytes.unsigned_abs(),
        received: fill::when(recording.received_at),
        said: fill::remarks(&recording),
        analysis: fill::analysis(app, &recording).await?,
        still: false,
        correction: (recording.corrected.clone()).map(|label| Corrected {
            label,
            why: recording.correction_note.clone().unwrap_or_default(),
            hang_s: recording.corrected_hang_s,
            mode: recording.corrected_mode.clone(),
            by: recording.corrected_by.clone().unwrap_or_default(),
            when: fill::when(recording.corrected_at.unwrap_or(0)),
        }),
        notes: (app.store.notes_on(&id).await?.into_iter())
            .map(|note| Note {
                text: note.words,
                by: note.made_by,
                when: fill::when(note.made_at),
            })
            .collect(),
        cases: (cases.into_iter())
            .map(|(case, _)| CaseChoice {
                holds_this: in_cases.iter().any(|(of, c, _)| *of == id && *c == case.id),
                id: case.id,
                title: case.title,
            })
            .collect(),
        // Only a digest of its word is kept.
        receipt: None,
        wrong: None,
        file: recording.file_name,
        sha256: recording.sha256,
        id,
    })
}

/// `GET /recording/{id}/audio`, the original, or parts of it.
pub async fn audio(
    State(app): Desk,
    _signed: Signed,
    Path(id): Path<String>,
    headers: HeaderMap,
) -> Shown<Response> {
    let recording = app.store.recording(&id).await?;
    Ok(sound(&app, &recording, &headers).await?)
}

/// `GET /recording/{id}/timeline.svg`.
pub async fn timeline(
    State(app): Desk,
    _signed: Signed,
    Path(id): Path<String>,
) -> Shown<Response> {
    Ok(picture_of(&app, &id).await?)
}

/// A recording's timeline by itself.
///
/// # Errors
/// There is none yet, or the database fails.
pub async fn picture_of(app: &App, id: &str) -> Outcome<Response> {
    let pictures = fill::pictures(app, id).await?;
    Ok(alone("image/svg+xml", pictures.file))
}

/// `GET /recording/{id}/captions.vtt`.
pub async fn captions(
    State(app): Desk,
    _signed: Signed,
    Path(id): Path<String>,
) -> Shown<Response> {
    Ok(captions_of(&app, &id).await?)
}

/// A recording's captions by themselves.
///
/// # Errors
/// There are none yet, or the database fails.
pub async fn captions_of(app: &App, id: &str) -> Outcome<Response> {
    let pictures = fill::pictures(app, id).await?;
    Ok(alone("text/vtt; charset=utf-8", pictures.captions))
}

/// Onwards; or the recording with the form that was not taken.
async fn done(
    app: &App,
    posted: &Posted,
    id: &str,
    form: &'static str,
    result: Outcome<String>,
) -> Shown<Response> {
    let page = |wrong| async {
        let recording = app.store.recording(id).await?;
        Ok(pages::recording(&RecordingPage {
            wrong: Some(wrong),
            // Nobody looks again while somebody mends what was typed.
            still: true,
            ..view(app, recording, posted.signed.shell()).await?
        }))
    };
    posted.onwards(form, result, page).await
}

/// `POST /recording/{id}/note`.
pub async fn note(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Response> {
    let visitor = posted.signed.may_change()?;
    let noted = async {
        let words = posted.fields.needed("text", NOTE_CHARS)?;
        app.store.recording(&id).await?;
        app.store.note(&id, &words, &visitor.name).await?;
        Ok(page_of(&id))
    };
    done(&app, &posted, &id, "note", noted.await).await
}

/// `POST /recording/{id}/correct`.
pub async fn correct(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Response> {
    let visitor = posted.signed.may_change()?;
    let corrected = async {
        let said = correction(&posted.fields)?;
        (app.store.correct(&id, said.as_ref(), &visitor.name)).await?;
        Ok(page_of(&id))
    };
    done(&app, &posted, &id, "correct", corrected.await).await
}

/// What a form says that it really was; nothing where it takes that back.
fn correction(fields: &Fields) -> Outcome<Option<Correction>> {
    let label = match fields.all("label").first() {
        // A form without the field says nothing, least of all that the correction shall go.
        None => return Err(Fault::Bad("choose the cause".into())),
        Some(&"") => None,
        Some(word) => Some(known_label(word)?),
    };
    let said = Correction {
        label: label.unwrap_or_default(),
        why: fields.short("why", NOTE_CHARS)?,
        hang_s: fields.number("hang_s", *HANG_S.start(), *HANG_S.end())?,
        mode: match fields.get("mode") {
            "" => None,
            word => Some(known_mode(word)?),
        },
    };
    Ok(label.map(|_| said))
}

/// A label of the published contract.
///
/// # Errors
/// It is none.
pub fn known_label(word: &str) -> Result<&'static str, Fault> {
    let causes = Cause::ALL.into_iter().map(Label::Cause);
    let found = (causes.chain([Label::Inconclusive]))
        .map(Label::as_str)
        .find(|label| *label == word);
    found.ok_or_else(|| Fault::Bad(format!("\"{word}\" is no verdict")))
}

/// A listening mode of the published contract.
///
/// # Errors
/// It is none.
pub fn known_mode(word: &str) -> Result<&'static str, Fault> {
    let found = ListeningMode::ALL
        .map(ListeningMode::as_str)
        .into_iter()
        .find(|mode| *mode == word);
    found.ok_or_else(|| Fault::Bad(format!("\"{word}\" is no listening mode")))
}

/// `POST /recording/{id}/case`.
pub async fn into_case(
    State(app): Desk,
    Path(id): Path<String>,
    posted: Posted,
) -> Shown<Response> {
    let visitor = posted.signed.may_change()?;
    let put = async {
        let recording = app.store.recording(&id).await?;
        let phase = match posted.fields.get("phase") {
            "" => Phase::Before,
            word => fill::phase(word),
        };
        let case = match posted.fields.get("case") {
            "" | "new" => {
                let title = posted.fields.needed("title", TITLE_CHARS)?;
                (app.store
                    .new_case(&recording.repeater, &title, &visitor.name))
                .await?
            }
            case => case.to_owned(),
        };
        app.store.put_into_case(&case, &id, phase.as_str()).await?;
        Ok(format!("/case/{case}"))
    };
    done(&app, &posted, &id, "case", put.await).await
}

/// `POST /recording/{id}/again`.
pub async fn again(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Redirect> {
    posted.signed.may_change()?;
    app.store.recording(&id).await?;
    app.store.again(&id).await?;
    app.bell.notify_one();
    Ok(Redirect::to(&page_of(&id)))
}

/// `POST /recording/{id}/delete`.
pub async fn delete(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Response> {
    let visitor = posted.signed.may_change()?;
    let deleted = async {
        posted.fields.sure()?;
        let recording = app.store.recording(&id).await?;
        if let Some(place) = app.store.delete_recording(&id, &visitor.name).await? {
            // Where it does not go, the pages say so until it has.
            app.remove(&place).await;
        }
        Ok(format!("/repeater/{}", recording.repeater))
    };
    done(&app, &posted, &id, "delete", deleted.await).await
}

fn page_of(id: &str) -> String {
    format!("/recording/{id}")
}
