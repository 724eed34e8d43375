//! Cases.

use super::Refusals;
use super::take::{Body, Changes, Path, Reads, some_words, words};
use super::types::{
    CaseChangeIn, CaseIn, CaseOut, CaseRecordingOut, KeyOut, PhaseIn, SiteIn, StateIn, TestIn,
    TestKind, TestOut, WholeCaseOut,
};
use crate::desk::casework::{chain, dossier, measuring, whole};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::fill;
use crate::desk::http::{Desk, TITLE_CHARS, Told, WORK_CHARS};
use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde_json::Value;

/// Longest table, worksheet or site file.
const SHEET_CHARS: usize = 100_000;

/// A repeater's cases, the one that moved last first.
#[utoipa::path(get, path = "/repeaters/{id}/cases", tag = "cases",
    params(("id" = String, Path)), responses((status = 200, body = Vec<CaseOut>), Refusals))]
pub async fn of_repeater(
    State(app): Desk,
    _reads: Reads,
    Path(id): Path<String>,
) -> Told<Json<Vec<CaseOut>>> {
    app.store.repeater(&id).await?;
    let cases = app.store.cases(&id).await?.into_iter();
    Ok(Json(cases.map(|(case, _)| case.into()).collect()))
}

/// The cases of all repeaters, the one that moved last first.
#[utoipa::path(get, path = "/cases", tag = "cases",
    responses((status = 200, body = Vec<CaseOut>), Refusals))]
pub async fn all(State(app): Desk, _reads: Reads) -> Told<Json<Vec<CaseOut>>> {
    let cases = app.store.cases("").await?.into_iter();
    Ok(Json(cases.map(|(case, _)| case.into()).collect()))
}

/// Opens a case.
#[utoipa::path(post, path = "/repeaters/{id}/cases", tag = "cases", request_body = CaseIn,
    params(("id" = String, Path)), responses((status = 201, body = CaseOut), Refusals))]
pub async fn new(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
    Body(typed): Body<CaseIn>,
) -> Told<(StatusCode, Json<CaseOut>)> {
    let title = some_words("title", &typed.title, TITLE_CHARS)?;
    app.store.repeater(&id).await?;
    let case = app.store.new_case(&id, &title, &by.name).await?;
    Ok((
        StatusCode::CREATED,
        Json(app.store.case(&case).await?.into()),
    ))
}

/// One case with what it gathers.
#[utoipa::path(get, path = "/cases/{id}", tag = "cases",
    params(("id" = String, Path)), responses((status = 200, body = WholeCaseOut), Refusals))]
pub async fn one(
    State(app): Desk,
    _reads: Reads,
    Path(id): Path<String>,
) -> Told<Json<WholeCaseOut>> {
    let whole = whole::read(&app, &id).await?;
    let history = app.store.history_of(&id).await?;
    let comparison = match whole.comparison() {
        Ok(Some(of)) => Some(fill::read(&dossier::sheet(&of).1)?),
        // Sets that cannot be compared are no fault of this request.
        Ok(None) | Err(_) => None,
    };
    Ok(Json(WholeCaseOut {
        comparison,
        recordings: (whole.recordings.into_iter())
            .map(|(recording, phase)| CaseRecordingOut {
                recording: recording.id,
                phase,
            })
            .collect(),
        tests: (whole.measured.into_iter())
            .map(|test| {
                Ok(TestOut {
                    id: test.id,
                    kind: test.kind,
                    phase: test.phase,
                    day: test.day,
                    sheet: test.sheet,
                    result: fill::read(&test.result_json)?,
                })
            })
            .collect::<Outcome<_>>()?,
        history: history.into_iter().map(Into::into).collect(),
        case: whole.case.into(),
    }))
}

/// States a case's title and what was repaired anew.
#[utoipa::path(put, path = "/cases/{id}", tag = "cases", request_body = CaseChangeIn,
    params(("id" = String, Path)), responses((status = 200, body = CaseOut), Refusals))]
pub async fn change(
    State(app): Desk,
    _by: Changes,
    Path(id): Path<String>,
    Body(typed): Body<CaseChangeIn>,
) -> Told<Json<CaseOut>> {
    let title = some_words("title", &typed.title, TITLE_CHARS)?;
    let work = words("work", &typed.work, WORK_CHARS)?;
    app.store.title_case(&id, &title).await?;
    app.store.note_work(&id, &work).await?;
    Ok(Json(app.store.case(&id).await?.into()))
}

/// Deletes a case; its recordings stay with their repeater.
#[utoipa::path(delete, path = "/cases/{id}", tag = "cases",
    params(("id" = String, Path)), responses((status = 204), Refusals))]
pub async fn delete(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
) -> Told<StatusCode> {
    app.store.delete_case(&id, &by.name).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Moves a case on, or back.
#[utoipa::path(put, path = "/cases/{id}/state", tag = "cases", request_body = StateIn,
    params(("id" = String, Path)), responses((status = 200, body = CaseOut), Refusals))]
pub async fn state(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
    Body(typed): Body<StateIn>,
) -> Told<Json<CaseOut>> {
    let said = words("said", &typed.said, 4000)?;
    (app.store
        .move_case(&id, typed.state.word(), &said, &by.name))
    .await?;
    Ok(Json(app.store.case(&id).await?.into()))
}

/// Puts a recording of the same repeater into a case, or on another side of its repair.
#[utoipa::path(put, path = "/cases/{id}/recordings/{recording}", tag = "cases",
    request_body = PhaseIn,
    params(("id" = String, Path), ("recording" = String, Path)),
    responses((status = 204), Refusals))]
pub async fn put_recording(
    State(app): Desk,
    _by: Changes,
    Path((id, recording)): Path<(String, String)>,
    Body(typed): Body<PhaseIn>,
) -> Told<StatusCode> {
    (app.store.put_into_case(&id, &recording, typed.phase.word())).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Takes a recording out of a case.
#[utoipa::path(delete, path = "/cases/{id}/recordings/{recording}", tag = "cases",
    params(("id" = String, Path), ("recording" = String, Path)),
    responses((status = 204), Refusals))]
pub async fn take_recording_out(
    State(app): Desk,
    _by: Changes,
    Path((id, recording)): Path<(String, String)>,
) -> Told<StatusCode> {
    app.store.case(&id).await?;
    app.store.take_out_of_case(&id, &recording).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Keeps a stepped test or tee readings.
#[utoipa::path(post, path = "/cases/{id}/tests", tag = "cases", request_body = TestIn,
    params(("id" = String, Path)), responses((status = 201, body = KeyOut), Refusals))]
pub async fn keep_test(
    State(app): Desk,
    Changes(by): Changes,
    Path(id): Path<String>,
    Body(typed): Body<TestIn>,
) -> Told<(StatusCode, Json<KeyOut>)> {
    if typed.sheet.chars().count() > SHEET_CHARS {
        return Err(Fault::Bad("the sheet is too long".into()).into());
    }
    let sheet = typed.sheet.replace('\0', "");
    let at = measuring::Circumstances {
        day: words("day", &typed.day, 20)?,
        phase: typed.phase.word().into(),
    };
    let measured = if typed.kind == TestKind::Tee {
        measuring::tee(sheet, at)?
    } else {
        measuring::stepped(sheet, typed.hysteresis_db, at)?
    };
    app.store.case(&id).await?;
    let id = app.store.keep_measured(&id, &measured, &by.name).await?;
    Ok((StatusCode::CREATED, Json(KeyOut { id })))
}

/// Deletes a stepped test or tee readings.
#[utoipa::path(delete, path = "/cases/{id}/tests/{test}", tag = "cases",
    params(("id" = String, Path), ("test" = String, Path)),
    responses((status = 204), Refusals))]
pub async fn delete_test(
    State(app): Desk,
    Changes(by): Changes,
    Path((id, test)): Path<(String, String)>,
) -> Told<StatusCode> {
    app.store.delete_measured(&id, &test, &by.name).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Keeps the antenna chain with the results of its search.
#[utoipa::path(put, path = "/cases/{id}/site", tag = "cases", request_body = SiteIn,
    params(("id" = String, Path)), responses((status = 204), Refusals))]
pub async fn keep_site(
    State(app): Desk,
    _by: Changes,
    Path(id): Path<String>,
    Body(typed): Body<SiteIn>,
) -> Told<StatusCode> {
    if typed.site_toml.chars().count() > SHEET_CHARS {
        return Err(Fault::Bad("the site file is too long".into()).into());
    }
    chain::plan(&typed.site_toml)?;
    app.store.keep_site(&id, &typed.site_toml).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// The plan of the search (`tailbeat.hunt/1`).
#[utoipa::path(get, path = "/cases/{id}/plan", tag = "cases",
    params(("id" = String, Path)), responses((status = 200, body = Object), Refusals))]
pub async fn plan(State(app): Desk, _reads: Reads, Path(id): Path<String>) -> Told<Json<Value>> {
    let site = app.store.case(&id).await?.site_toml.ok_or(Fault::Missing)?;
    Ok(Json(fill::read(&chain::plan_json(&site)?)?))
}
