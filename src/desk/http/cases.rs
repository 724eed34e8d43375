//! One case.

use super::Desk;
use super::answer::Shown;
use super::chain::chain_typed;
use super::files::alone;
use super::guard::{Fields, Posted, Signed};
use crate::desk::app::App;
use crate::desk::casework::measuring::{self, Circumstances};
use crate::desk::casework::whole::{self, Whole};
use crate::desk::casework::{chain, dossier};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::store::cases::Measured;
use crate::desk::view::{
    CasePage, CaseRecording, CaseState, ChainForm, FiledTest, NotTaken, Shell, StateChange,
};
use crate::desk::{fill, pages};
use axum::extract::{Path, State};
use axum::response::{Html, IntoResponse, Redirect, Response};

/// Longest title.
pub const TITLE_CHARS: usize = 120;
/// Longest statement that still leaves the dossier on one sheet.
pub const WORK_CHARS: usize = 100;
/// Longest words beside a change of state.
const WORDS_CHARS: usize = 4000;
/// Most hysteresis that a squelch has.
const MOST_HYSTERESIS_DB: f64 = 20.0;
/// Most loss that a tee has.
const MOST_TEE_LOSS_DB: f64 = 100.0;

/// The case as its page shows it.
///
/// # Errors
/// What is kept is damaged, or the database fails.
pub async fn view(
    whole: &Whole,
    app: &App,
    shell: Shell,
    wrong: Option<NotTaken>,
) -> Outcome<CasePage> {
    let id = &whole.case.id;
    let count = i64::try_from(whole.recordings.len()).unwrap_or(0);
    let history = app.store.history_of(id).await?;
    let (mut backoffs, mut tees) = (Vec::new(), Vec::new());
    for test in &whole.measured {
        let kept = FiledTest {
            id: test.id.clone(),
            day: test.day.clone(),
            phase: fill::phase(&test.phase),
            leaf: measuring::leaf(test)?,
        };
        let list = if test.kind == "tee" {
            &mut tees
        } else {
            &mut backoffs
        };
        list.push(kept);
    }
    let site = whole.case.site_toml.as_deref();
    let mut chain = site.map_or(Ok(ChainForm::usual()), chain::form)?;
    if let Some(form) = wrong.as_ref().filter(|wrong| wrong.form == "chain") {
        // What was typed stands in its form; what was found before stays.
        chain = ChainForm {
            kept: chain.kept,
            results: chain.results,
            ..chain_typed(&Fields(form.typed.clone()))
        };
    }
    // What does not compare must not hide the rest of the page.
    let dossier = whole.comparison().ok().flatten();
    Ok(CasePage {
        shell,
        case: fill::case_card(&whole.case, count, &whole.repeater.name),
        repeater_id: whole.repeater.id.clone(),
        history: (history.into_iter())
            .map(|note| StateChange {
                state: fill::case_state(note.new_state.as_deref().unwrap_or_default()),
                by: note.made_by,
                when: fill::when(note.made_at),
                said: note.words,
            })
            .collect(),
        recordings: (whole.recordings.iter())
            .map(|(recording, phase)| {
                Ok(CaseRecording {
                    row: fill::row(recording, None, &[])?,
                    phase: fill::phase(phase),
                })
            })
            .collect::<Outcome<_>>()?,
        backoffs,
        tees,
        hysteresis_db: (whole.repeater.hysteresis_db).map_or(String::new(), |h| h.to_string()),
        chain,
        hunt: site.map(chain::plan).transpose()?,
        work: whole.case.work.clone(),
        dossier: dossier.as_ref().map(dossier::shown),
        wrong,
    })
}

/// `GET /case/{id}`.
pub async fn page(State(app): Desk, signed: Signed, Path(id): Path<String>) -> Shown {
    let view = view(&whole::read(&app, &id).await?, &app, signed.shell(), None).await?;
    Ok(Html(pages::case(&view)))
}

/// Back to the case; or the case with the form that was not taken.
pub async fn done(
    app: &App,
    posted: &Posted,
    id: &str,
    form: &'static str,
    result: Outcome<()>,
) -> Shown<Response> {
    let page = |wrong| async {
        let whole = whole::read(app, id).await?;
        let view = view(&whole, app, posted.signed.shell(), Some(wrong)).await?;
        Ok(pages::case(&view))
    };
    let to = result.map(|()| format!("/case/{id}"));
    posted.onwards(form, to, page).await
}

/// `POST /case/{id}/state`.
pub async fn state(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Response> {
    let by = &posted.signed.may_change()?.name;
    let moved = async {
        let state = known_state(posted.fields.get("state"))?;
        let said = posted.fields.short("said", WORDS_CHARS)?;
        app.store.move_case(&id, state.as_str(), &said, by).await
    };
    done(&app, &posted, &id, "state", moved.await).await
}

/// A state by its word.
///
/// # Errors
/// It is none.
pub fn known_state(word: &str) -> Outcome<CaseState> {
    let found = CaseState::ALL.into_iter().find(|s| s.as_str() == word);
    found.ok_or_else(|| Fault::Bad(format!("\"{word}\" is no state of a case")))
}

/// `POST /case/{id}/title`.
pub async fn title(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Response> {
    posted.signed.may_change()?;
    let titled = async {
        let title = posted.fields.needed("title", TITLE_CHARS)?;
        app.store.title_case(&id, &title).await
    };
    done(&app, &posted, &id, "title", titled.await).await
}

/// `POST /case/{id}/work`.
pub async fn work(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Response> {
    posted.signed.may_change()?;
    let noted = async {
        let words = posted.fields.short("work", WORK_CHARS)?;
        app.store.note_work(&id, &words).await
    };
    done(&app, &posted, &id, "work", noted.await).await
}

/// `POST /case/{id}/recording/{recording}`.
pub async fn recording(
    State(app): Desk,
    Path((id, recording)): Path<(String, String)>,
    posted: Posted,
) -> Shown<Response> {
    posted.signed.may_change()?;
    let changed = if posted.fields.get("remove") == "yes" {
        app.store.take_out_of_case(&id, &recording).await
    } else {
        let phase = fill::phase(posted.fields.get("phase"));
        (app.store.put_into_case(&id, &recording, phase.as_str())).await
    };
    done(&app, &posted, &id, "recording", changed).await
}

/// `POST /case/{id}/backoff`.
pub async fn backoff(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Response> {
    let by = &posted.signed.may_change()?.name;
    let kept = async {
        let measured = stepped(&posted.fields)?;
        app.store.case(&id).await?;
        app.store.keep_measured(&id, &measured, by).await.map(drop)
    };
    done(&app, &posted, &id, "backoff", kept.await).await
}

fn circumstances(fields: &Fields) -> Outcome<Circumstances> {
    Ok(Circumstances {
        day: fields.short("day", 20)?,
        phase: fill::phase(fields.get("phase")).as_str().into(),
    })
}

fn stepped(fields: &Fields) -> Outcome<Measured> {
    let [steps, trials, back] = ["backoff_db", "trials", "came_back"].map(|name| fields.all(name));
    let rows: Vec<[&str; 3]> = (steps.iter().zip(&trials).zip(&back))
        .map(|((step, trials), back)| [*step, *trials, *back])
        .collect();
    let hysteresis = fields.number("hysteresis_db", 0.0, MOST_HYSTERESIS_DB)?;
    measuring::stepped(measuring::table(&rows), hysteresis, circumstances(fields)?)
}

/// `POST /case/{id}/tee`.
pub async fn tee(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Response> {
    let by = &posted.signed.may_change()?.name;
    let kept = async {
        let fields = &posted.fields;
        let states = ["load_off", "antenna_off", "load_on", "antenna_on"]
            .map(|state| (state, fields.get(state)));
        let loss = fields.number("tee_loss_db", 0.0, MOST_TEE_LOSS_DB)?;
        let sheet =
            measuring::worksheet(fields.get("criterion"), fields.get("unit"), loss, &states)?;
        let measured = measuring::tee(sheet, circumstances(fields)?)?;
        app.store.case(&id).await?;
        app.store.keep_measured(&id, &measured, by).await.map(drop)
    };
    done(&app, &posted, &id, "tee", kept.await).await
}

/// `POST /case/{id}/test/{test}/delete`.
pub async fn delete_test(
    State(app): Desk,
    Path((id, test)): Path<(String, String)>,
    posted: Posted,
) -> Shown<Response> {
    let by = &posted.signed.may_change()?.name;
    let gone = app.store.delete_measured(&id, &test, by).await;
    done(&app, &posted, &id, "test", gone).await
}

/// `GET /case/{id}/dossier.html`: the sheet by itself.
pub async fn sheet(State(app): Desk, _signed: Signed, Path(id): Path<String>) -> Shown<Response> {
    Ok(sheet_of(&app, &id).await?)
}

/// A case's sheet by itself.
///
/// # Errors
/// There is none yet, what is kept is damaged, or the database fails.
pub async fn sheet_of(app: &App, id: &str) -> Outcome<Response> {
    let comparison = whole::read(app, id).await?.comparison()?;
    let (page, _) = dossier::sheet(&comparison.ok_or(Fault::Missing)?);
    Ok(alone("text/html; charset=utf-8", page))
}

/// `POST /case/{id}/delete`.
pub async fn delete(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Response> {
    let by = &posted.signed.may_change()?.name;
    if let Err(unsure) = posted.fields.sure() {
        return done(&app, &posted, &id, "delete", Err(unsure)).await;
    }
    let case = app.store.case(&id).await?;
    app.store.delete_case(&id, by).await?;
    Ok(Redirect::to(&format!("/repeater/{}", case.repeater)).into_response())
}
