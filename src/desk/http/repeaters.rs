//! Repeaters: one's page with its list, its form, its send-in link.

use super::Desk;
use super::answer::Shown;
use super::guard::{Fields, Posted, Signed};
use crate::desk::app::App;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::store::Slice;
use crate::desk::store::recordings::Filter;
use crate::desk::store::repeaters::Stated;
use crate::desk::view::{self, LinkPage, Qr, RepeaterForm, RepeaterPage, Shell};
use crate::desk::{fill, moment, pages, trend};
use axum::extract::{Path, Query, State};
use axum::response::{Html, IntoResponse, Redirect, Response};
use qrcodegen::{QrCode, QrCodeEcc};

/// Recordings on a page of the list.
pub const A_PAGE: i64 = 50;
/// Longest name or place.
const LINE_CHARS: usize = 120;
/// Longest word to members.
const WORD_CHARS: usize = 1000;
/// Longest hang time and largest hysteresis that are no slip.
const MOST_HANG_S: f64 = 600.0;
const MOST_HYSTERESIS_DB: f64 = 20.0;

/// A list's query.
type Asked = Query<Vec<(String, String)>>;

/// `GET /repeater/{id}`.
pub async fn page(
    State(app): Desk,
    signed: Signed,
    Path(id): Path<String>,
    Query(pairs): Asked,
) -> Shown {
    let view = view(&app, signed.shell(), &id, &Fields(pairs)).await?;
    Ok(Html(pages::repeater(&view)))
}

/// A repeater as its page shows it, with the part of its list that is asked for.
async fn view(app: &App, shell: Shell, id: &str, asked: &Fields) -> Outcome<RepeaterPage> {
    let repeater = app.store.repeater(id).await?;
    let (shown, filter) = filter(id, asked)?;
    let page = page_asked(asked);
    let total = app.store.recordings_count(&filter).await?;
    let recordings = app.store.recordings(&filter, slice(page, A_PAGE)).await?;
    let in_cases = app.store.cases_of(id).await?;
    let cases = app.store.cases(id).await?;
    let rows = recordings.iter().map(|r| fill::row(r, None, &in_cases));
    let card = super::home::cards(app, std::slice::from_ref(&repeater), &cases).await?;
    let corrected = app.store.corrected_count(id).await?;
    Ok(RepeaterPage {
        shell,
        repeater: card.into_iter().next().ok_or(Fault::Missing)?,
        filter: shown,
        rows: rows.collect::<Outcome<_>>()?,
        pager: fill::pager(page, total, A_PAGE),
        cases: (cases.iter())
            .map(|(case, count)| fill::case_card(case, *count, &repeater.name))
            .collect(),
        trend: trend::trend(
            &app.store.trend_recordings(id).await?,
            &app.store.trend_measured(id).await?,
        ),
        corrections: usize::try_from(corrected).unwrap_or(0),
        unremoved: app.store.removals_refused().await?,
        wrong: None,
    })
}

/// Onwards; or the repeater with the form that was not taken.
async fn done(
    app: &App,
    posted: &Posted,
    id: &str,
    form: &'static str,
    result: Outcome<String>,
) -> Shown<Response> {
    let page = |wrong| async {
        Ok(pages::repeater(&RepeaterPage {
            wrong: Some(wrong),
            ..view(app, posted.signed.shell(), id, &Fields::default()).await?
        }))
    };
    posted.onwards(form, result, page).await
}

/// The page of a list that is asked for, counted from 1.
pub fn page_asked(asked: &Fields) -> usize {
    asked.get("page").parse().unwrap_or(1).clamp(1, 1_000_000)
}

/// The part of a list that is on a page.
pub fn slice(page: usize, a_page: i64) -> Slice {
    let before = i64::try_from(page.saturating_sub(1)).unwrap_or(0);
    Slice {
        most: a_page,
        skip: before.saturating_mul(a_page),
    }
}

/// A filter as typed, and as the database takes it.
///
/// # Errors
/// A day that is none.
pub fn filter(repeater: &str, asked: &Fields) -> Outcome<(view::Filter, Filter)> {
    let shown = view::Filter {
        verdict: asked.short("verdict", LINE_CHARS)?,
        from: asked.short("from", LINE_CHARS)?,
        to: asked.short("to", LINE_CHARS)?,
        words: asked.short("q", LINE_CHARS)?,
        unseen: asked.get("unseen") == "yes",
    };
    let filter = Filter {
        repeater: repeater.into(),
        label: shown.verdict.clone(),
        from: day(&shown.from)?,
        until: day(&shown.to)?.map(|at| at.saturating_add(moment::DAY)),
        words: shown.words.clone(),
        unseen: shown.unseen,
    };
    Ok((shown, filter))
}

/// The first moment of a day.
fn day(typed: &str) -> Outcome<Option<i64>> {
    if typed.is_empty() {
        return Ok(None);
    }
    let bad = || Fault::Bad(format!("\"{typed}\" is no day; write it like 2031-05-04"));
    let date: jiff::civil::Date = typed.parse().map_err(|_| bad())?;
    let start = jiff::tz::TimeZone::UTC
        .to_timestamp(date.into())
        .map_err(|_| bad())?;
    Ok(Some(start.as_microsecond()))
}

/// `GET /repeater/new`.
pub async fn new(signed: Signed) -> Shown {
    signed.may_change()?;
    let view = RepeaterForm {
        shell: signed.shell(),
        ..RepeaterForm::default()
    };
    Ok(Html(pages::repeater_form(&view)))
}

/// `POST /repeater/new`.
pub async fn new_done(State(app): Desk, posted: Posted) -> Shown<Response> {
    let visitor = posted.signed.may_change()?;
    match stated(&posted.fields) {
        Ok(stated) => {
            let id = app.store.new_repeater(&stated, &visitor.name).await?;
            Ok(Redirect::to(&format!("/repeater/{id}")).into_response())
        }
        Err(fault) => Ok(once_more(&posted, None, fault)),
    }
}

/// `GET /repeater/{id}/edit`.
pub async fn edit(State(app): Desk, signed: Signed, Path(id): Path<String>) -> Shown {
    signed.may_change()?;
    let repeater = app.store.repeater(&id).await?;
    let number = |value: Option<f64>| value.map_or(String::new(), |v| v.to_string());
    let view = RepeaterForm {
        shell: signed.shell(),
        id: Some(id),
        name: repeater.name,
        output_mhz: repeater.output_mhz,
        place: repeater.place,
        hang_s: number(repeater.hang_s),
        hysteresis_db: number(repeater.hysteresis_db),
        word: repeater.word,
        wrong: None,
    };
    Ok(Html(pages::repeater_form(&view)))
}

/// `POST /repeater/{id}/edit`.
pub async fn edit_done(
    State(app): Desk,
    Path(id): Path<String>,
    posted: Posted,
) -> Shown<Response> {
    let visitor = posted.signed.may_change()?;
    match stated(&posted.fields) {
        Ok(stated) => {
            (app.store.change_repeater(&id, &stated, &visitor.name)).await?;
            Ok(Redirect::to(&format!("/repeater/{id}")).into_response())
        }
        Err(fault) => Ok(once_more(&posted, Some(id), fault)),
    }
}

/// What a form states of a repeater.
///
/// # Errors
/// Something in it makes no sense.
pub fn stated(fields: &Fields) -> Outcome<Stated> {
    Ok(Stated {
        name: fields.needed("name", LINE_CHARS)?,
        output_mhz: fields.short("output_mhz", 20)?,
        place: fields.short("place", LINE_CHARS)?,
        hang_s: fields.number("hang_s", 0.01, MOST_HANG_S)?,
        hysteresis_db: fields.number("hysteresis_db", 0.0, MOST_HYSTERESIS_DB)?,
        word: fields.short("word", WORD_CHARS)?,
    })
}

fn once_more(posted: &Posted, id: Option<String>, fault: Fault) -> Response {
    let typed = |name: &str| posted.fields.get(name).to_owned();
    let view = RepeaterForm {
        shell: posted.signed.shell(),
        id,
        name: typed("name"),
        output_mhz: typed("output_mhz"),
        place: typed("place"),
        hang_s: typed("hang_s"),
        hysteresis_db: typed("hysteresis_db"),
        word: typed("word"),
        wrong: Some(fault.words()),
    };
    (fault.status(), Html(pages::repeater_form(&view))).into_response()
}

/// `GET /repeater/{id}/link`.
pub async fn link(State(app): Desk, signed: Signed, Path(id): Path<String>) -> Shown {
    let repeater = app.store.repeater(&id).await?;
    let url = format!("{}/to/{}", app.public, repeater.link);
    let view = LinkPage {
        shell: signed.shell(),
        id,
        output: fill::output(&repeater),
        repeater: repeater.name,
        qr: qr(&url)?,
        url,
        made: fill::when(repeater.linked_at),
    };
    Ok(Html(pages::link(&view)))
}

fn qr(url: &str) -> Outcome<Qr> {
    let code = QrCode::encode_text(url, QrCodeEcc::Medium)
        .map_err(|_| Fault::Bad("the address is too long for a QR code".into()))?;
    let side = code.size();
    let squares = (0..side).flat_map(|y| (0..side).map(move |x| (x, y)));
    Ok(Qr {
        side: usize::try_from(side).unwrap_or(0),
        dark: squares.map(|(x, y)| code.get_module(x, y)).collect(),
    })
}

/// `POST /repeater/{id}/link/renew`.
pub async fn renew(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Redirect> {
    let visitor = posted.signed.may_change()?;
    app.store.renew_link(&id, &visitor.name).await?;
    Ok(Redirect::to(&format!("/repeater/{id}/link")))
}

/// `POST /repeater/{id}/case`: opens a case.
pub async fn open_case(
    State(app): Desk,
    Path(id): Path<String>,
    posted: Posted,
) -> Shown<Response> {
    let visitor = posted.signed.may_change()?;
    let opened = async {
        let title = posted.fields.needed("title", LINE_CHARS)?;
        app.store.repeater(&id).await?;
        let case = app.store.new_case(&id, &title, &visitor.name).await?;
        Ok(format!("/case/{case}"))
    };
    done(&app, &posted, &id, "case", opened.await).await
}

/// `POST /repeater/{id}/delete`: with everything that was ever sent in for it.
pub async fn delete(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Response> {
    let visitor = posted.signed.may_change()?;
    let deleted = async {
        if posted.fields.get("sure") != app.store.repeater(&id).await?.name {
            let words = "type the repeater's name to delete it with all its recordings and cases";
            return Err(Fault::Bad(words.into()));
        }
        delete_all(&app, &id, &visitor.name).await?;
        Ok("/".into())
    };
    done(&app, &posted, &id, "delete", deleted.await).await
}

/// Deletes a repeater with all that hangs on it.
///
/// # Errors
/// There is none such, or the database fails.
pub async fn delete_all(app: &App, id: &str, by: &str) -> Outcome<()> {
    let all = Filter {
        repeater: id.into(),
        ..Filter::default()
    };
    loop {
        let recordings = app.store.recordings(&all, slice(1, A_PAGE)).await?;
        if recordings.is_empty() {
            break;
        }
        for recording in recordings {
            app.store.delete_recording(&recording.id, by).await?;
        }
    }
    app.store.delete_repeater(id, by).await?;
    app.remove_what_is_due().await
}
