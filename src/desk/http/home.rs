//! The first page.

use super::Desk;
use super::answer::Shown;
use super::guard::Signed;
use crate::desk::app::App;
use crate::desk::fault::Outcome;
use crate::desk::store::Slice;
use crate::desk::store::recordings::Filter;
use crate::desk::store::rows::{Case, Repeater};
use crate::desk::view::{CaseState, HomePage, RepeaterCard};
use crate::desk::{fill, pages};
use axum::extract::State;
use axum::response::Html;

/// Recordings shown of all repeaters together.
const LATEST: i64 = 12;

/// `GET /`.
pub async fn home(State(app): Desk, signed: Signed) -> Shown {
    let repeaters = app.store.repeaters().await?;
    let cases = app.store.cases("").await?;
    let name_of = |id: &str| {
        let found = repeaters.iter().find(|r| r.id == id);
        found.map_or(String::new(), |r| r.name.clone())
    };
    let slice = Slice {
        most: LATEST,
        skip: 0,
    };
    let recordings = app.store.recordings(&Filter::default(), slice).await?;
    let in_cases = app.store.cases_of("").await?;
    let latest = recordings
        .iter()
        .map(|r| fill::row(r, Some(name_of(&r.repeater)), &in_cases));
    let queue = app.store.standing().await?;
    let view = HomePage {
        shell: signed.shell(),
        latest: latest.collect::<Outcome<_>>()?,
        open_cases: (cases.iter())
            .filter(|(case, _)| is_open(case))
            .map(|(case, count)| fill::case_card(case, *count, &name_of(&case.repeater)))
            .collect(),
        queue: usize::try_from(queue.waiting + queue.leased).unwrap_or(0),
        unremoved: app.store.removals_refused().await?,
        repeaters: cards(&app, &repeaters, &cases).await?,
    };
    Ok(Html(pages::home(&view)))
}

/// Repeaters with what is counted of them.
pub async fn cards(
    app: &App,
    repeaters: &[Repeater],
    cases: &[(Case, i64)],
) -> Outcome<Vec<RepeaterCard>> {
    let counted = app.store.counted().await?;
    Ok((repeaters.iter())
        .map(|repeater| {
            let of = counted.iter().find(|c| c.repeater == repeater.id);
            let open = cases
                .iter()
                .filter(|(case, _)| case.repeater == repeater.id && is_open(case));
            fill::repeater_card(repeater, of, open.count())
        })
        .collect())
}

fn is_open(case: &Case) -> bool {
    fill::case_state(&case.state) != CaseState::Proven
}
