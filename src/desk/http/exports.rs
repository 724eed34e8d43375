//! What leaves the desk as a file, and comes back.

use super::Desk;
use super::answer::{Page, Shown};
use super::files::in_header;
use super::guard::Signed;
use super::headers::ALONE;
use super::member::SILENCE;
use super::{cases, recordings};
use crate::desk::app::App;
use crate::desk::arriving::{Arriving, Whole as Arrived};
use crate::desk::bundle::{corrections as labelled, make, take};
use crate::desk::casework::whole::{self, Whole};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::view::{CaseFile, FiledRecording, ImportPage, Shell};
use crate::desk::{fill, moment, pages, secrets};
use axum::body::{Body, Bytes};
use axum::extract::{Multipart, Path, State};
use axum::http::header;
use axum::response::{Html, IntoResponse, Redirect, Response};
use tokio::io::AsyncReadExt;

/// A bundle may be so many times as large as one recording.
const BUNDLE_RECORDINGS: u64 = 20;
/// Bytes sent at a time.
const STEP_BYTES: usize = 256 * 1024;

/// `GET /case/{id}/page.html`: the whole case as one page that needs nothing else.
pub async fn page(State(app): Desk, signed: Signed, Path(id): Path<String>) -> Shown<Response> {
    Ok(page_of(&app, &id, &signed.visitor.name).await?)
}

/// A case as one page, for whoever asks for it.
///
/// # Errors
/// There is none such, what is kept is damaged, or the database fails.
pub async fn page_of(app: &App, id: &str, by: &str) -> Outcome<Response> {
    let whole = whole::read(app, id).await?;
    let page = file(app, &whole).await?;
    (app.store
        .note_deed(by, "exported a page", &whole.case.title))
    .await?;
    let headers = [
        (header::CONTENT_TYPE, "text/html; charset=utf-8".to_owned()),
        (header::CONTENT_SECURITY_POLICY, ALONE.to_owned()),
        (
            header::CONTENT_DISPOSITION,
            attachment(&whole.case.title, "html"),
        ),
    ];
    Ok((headers, page).into_response())
}

/// The whole case as one page.
async fn file(app: &App, whole: &Whole) -> Outcome<String> {
    let page = cases::view(whole, app, Shell::default(), None).await?;
    let mut filed = Vec::new();
    for (recording, phase) in &whole.recordings {
        filed.push(FiledRecording {
            recording: recordings::view(app, recording.clone(), Shell::default()).await?,
            phase: fill::phase(phase),
        });
    }
    Ok(pages::case_file(&CaseFile {
        made: fill::when(moment::now()),
        case: page.case,
        history: page.history,
        recordings: filed,
        backoffs: page.backoffs,
        tees: page.tees,
        hunt: page.hunt,
        chain_results: page.chain.results,
        work: page.work,
        dossier: page.dossier,
    }))
}

/// `GET /case/{id}/bundle.zip`.
pub async fn bundle(State(app): Desk, signed: Signed, Path(id): Path<String>) -> Shown<Response> {
    Ok(bundle_of(&app, &id, &signed.visitor.name).await?)
}

/// A case with its originals, for whoever asks for it.
///
/// # Errors
/// There is none such, an original cannot be had, or the database fails.
pub async fn bundle_of(app: &App, id: &str, by: &str) -> Outcome<Response> {
    let whole = whole::read(app, id).await?;
    let page = file(app, &whole).await?;
    let entries = make::entries(app, &whole, page).await?;
    (app.store
        .note_deed(by, "exported a case", &whole.case.title))
    .await?;
    zipped(app, entries, &whole.case.title).await
}

/// `GET /repeater/{id}/corrections.zip`.
pub async fn corrections(
    State(app): Desk,
    signed: Signed,
    Path(id): Path<String>,
) -> Shown<Response> {
    Ok(corrections_of(&app, &id, &signed.visitor.name).await?)
}

/// What keepers corrected of a repeater's recordings, for whoever asks for it.
///
/// # Errors
/// There is no such repeater, an original cannot be had, or the database fails.
pub async fn corrections_of(app: &App, id: &str, by: &str) -> Outcome<Response> {
    let repeater = app.store.repeater(id).await?;
    let entries = labelled::entries(app, &repeater).await?;
    (app.store
        .note_deed(by, "exported corrections", &repeater.name))
    .await?;
    zipped(app, entries, &format!("{} corrections", repeater.name)).await
}

async fn zipped(app: &App, entries: Vec<make::Entry>, title: &str) -> Outcome<Response> {
    let file = make::zip(app, entries).await?;
    let length = file.as_file().metadata()?.len();
    let source = tokio::fs::File::from_std(file.reopen()?);
    // The file goes with its name now; what is open can still be read.
    drop(file);
    let steps = futures_util::stream::try_unfold(source, |mut source| async move {
        let mut step = vec![0; STEP_BYTES];
        let got = source.read(&mut step).await?;
        step.truncate(got);
        Ok::<_, std::io::Error>((got > 0).then(|| (Bytes::from(step), source)))
    });
    let headers = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        (header::CONTENT_LENGTH, length.to_string()),
        (header::CONTENT_DISPOSITION, attachment(title, "zip")),
    ];
    Ok((headers, Body::from_stream(steps)).into_response())
}

fn attachment(title: &str, ending: &str) -> String {
    format!("attachment; filename*=UTF-8''{}.{ending}", in_header(title))
}

/// `GET /import`.
pub async fn import(State(app): Desk, signed: Signed) -> Shown {
    signed.may_change()?;
    Ok(shown(&app, &signed, None))
}

fn shown(app: &App, signed: &Signed, wrong: Option<String>) -> Html<String> {
    Html(pages::import(&ImportPage {
        shell: signed.shell(),
        most_bytes: most(app),
        wrong,
    }))
}

/// Largest bundle that is taken, in bytes.
pub fn most(app: &App) -> u64 {
    (app.settings.limits.recording_bytes).saturating_mul(BUNDLE_RECORDINGS)
}

/// `POST /import`.
pub async fn import_done(State(app): Desk, signed: Signed, form: Multipart) -> Shown<Response> {
    let by = &signed.may_change()?.name;
    let taken = async {
        let file = bundle_in(&app, &signed, form).await?;
        take::take(&app, &file, by).await
    };
    match taken.await {
        Ok(case) => Ok(Redirect::to(&format!("/case/{case}")).into_response()),
        Err(fault @ (Fault::Bad(_) | Fault::Library(_))) => {
            let page = shown(&app, &signed, Some(fault.words()));
            Ok((fault.status(), page).into_response())
        }
        Err(fault) => Err(Page(fault)),
    }
}

/// The file of the form. Its token stands before it, so that nobody's forged form fills the disk.
async fn bundle_in(app: &App, signed: &Signed, mut form: Multipart) -> Outcome<Arrived> {
    let cut = || Fault::Bad("the form broke off; send it again".into());
    let mut trusted = false;
    while let Some(mut part) = (tokio::time::timeout(SILENCE, form.next_field()).await)
        .map_err(|_| cut())?
        .map_err(|_| cut())?
    {
        match part.name().unwrap_or_default() {
            "csrf" => {
                let token = part.text().await.map_err(|_| cut())?;
                trusted = secrets::same(&token, &signed.visitor.csrf);
            }
            // What browsers send where nothing was chosen.
            "bundle" if part.file_name().is_none_or(str::is_empty) => {}
            "bundle" if trusted => {
                let mut file = Arriving::new(&app.incoming(), most(app))?;
                while let Some(bytes) = (tokio::time::timeout(SILENCE, part.chunk()).await)
                    .map_err(|_| cut())?
                    .map_err(|_| cut())?
                {
                    file.add(&bytes).await?;
                }
                return file.finish().await;
            }
            "bundle" => return Err(Fault::Forbidden),
            _ => {}
        }
    }
    Err(Fault::Bad("choose a file first".into()))
}
