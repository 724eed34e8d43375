//! The antenna chain of a case, and the results of its search.

use super::Desk;
use super::answer::Shown;
use super::cases::done;
use super::guard::{Fields, Posted};
use crate::desk::app::App;
use crate::desk::casework::chain;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::view::{ChainForm, LoadTest, SectionForm};
use axum::extract::{Path, State};
use axum::response::Response;

/// Longest name of a section.
const NAME_CHARS: usize = 120;

/// `POST /case/{id}/chain`.
pub async fn keep(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Response> {
    posted.signed.may_change()?;
    let kept = async {
        let mut form = chain_typed(&posted.fields);
        // Results stay with the sections that are still there.
        if let Some(site) = app.store.case(&id).await?.site_toml {
            form.results = chain::form(&site)?.results;
            let names: Vec<&str> = form.sections.iter().map(|s| s.name.as_str()).collect();
            form.results
                .retain(|result| names.contains(&result.after.as_str()));
        }
        app.store.keep_site(&id, &chain::file(&form)?).await
    };
    done(&app, &posted, &id, "chain", kept.await).await
}

/// The chain as the form has it.
pub fn chain_typed(fields: &Fields) -> ChainForm {
    let columns = [
        "side", "name", "kind", "weight", "test", "minutes", "money", "rigger",
    ]
    .map(|name| fields.all(name));
    let [sides, names, kinds, weights, tests, minutes, money, riggers] = &columns;
    let cell = |column: &[&str], n: usize| (*column.get(n).unwrap_or(&"")).to_owned();
    ChainForm {
        kept: true,
        sections: (0..names.len())
            .map(|n| SectionForm {
                receive: cell(sides, n) == "receive",
                name: cell(names, n),
                kind: cell(kinds, n),
                weight: cell(weights, n),
                test: cell(tests, n) != "no",
                minutes: cell(minutes, n),
                money: cell(money, n),
                rigger: cell(riggers, n) == "yes",
            })
            .collect(),
        hour_worth: fields.get("hour_worth").into(),
        rigger_call: fields.get("rigger_call").into(),
        shows: fields.get("shows").into(),
        looks: fields.get("looks").into(),
        results: Vec::new(),
    }
}

/// `POST /case/{id}/load`: a result of the search.
pub async fn load(State(app): Desk, Path(id): Path<String>, posted: Posted) -> Shown<Response> {
    load_at(&app, &id, None, &posted).await
}

/// `POST /case/{id}/load/{n}`: another result in the place of the n-th, or none.
pub async fn change_load(
    State(app): Desk,
    Path((id, n)): Path<(String, usize)>,
    posted: Posted,
) -> Shown<Response> {
    load_at(&app, &id, Some(n), &posted).await
}

async fn load_at(app: &App, id: &str, n: Option<usize>, posted: &Posted) -> Shown<Response> {
    posted.signed.may_change()?;
    let kept = async {
        let site = app.store.case(id).await?.site_toml;
        let site = site.ok_or_else(|| Fault::Bad("keep the chain first".into()))?;
        let mut form = chain::form(&site)?;
        match n {
            Some(n) if n >= form.results.len() => return Err(Fault::Missing),
            Some(n) if posted.fields.get("remove") == "yes" => drop(form.results.remove(n)),
            Some(n) => form.results[n] = load_typed(&posted.fields)?,
            None => form.results.push(load_typed(&posted.fields)?),
        }
        app.store.keep_site(id, &chain::file(&form)?).await
    };
    done(app, posted, id, "load", kept.await).await
}

fn load_typed(fields: &Fields) -> Outcome<LoadTest> {
    let stays = match fields.get("desense") {
        "stays" => true,
        "gone" => false,
        other => {
            return Err(Fault::Bad(format!(
                "the desense stays or is gone, not \"{other}\""
            )));
        }
    };
    Ok(LoadTest {
        after: fields.needed("after", NAME_CHARS)?,
        stays,
        looks: fields.number("looks", 1.0, 1000.0)?.map_or(1, |n| n as u32),
        day: fields.short("day", 20)?,
    })
}
