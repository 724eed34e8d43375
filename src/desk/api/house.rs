//! The audit log.

use super::Refusals;
use super::take::{Changes, Query, paged};
use super::types::AuditOut;
use crate::desk::http::{Desk, Told};
use crate::desk::moment::rfc3339;
use axum::Json;
use axum::extract::State;
use serde::Deserialize;
use utoipa::IntoParams;

/// Lines on a page.
const A_PAGE: i64 = 1000;

/// Which lines.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct AuditQuery {
    /// A kind of deed; empty for all.
    #[serde(default)]
    kind: String,
    /// Words in the lines.
    #[serde(default)]
    q: String,
    /// Page, counted from 1.
    #[param(minimum = 1, maximum = 1_000_000)]
    page: Option<u32>,
}

/// What was done by whom, the latest first, a thousand lines a page, for keepers.
#[utoipa::path(get, path = "/audit", tag = "audit", params(AuditQuery),
    responses((status = 200, body = Vec<AuditOut>), Refusals))]
pub async fn audit(
    State(app): Desk,
    _by: Changes,
    Query(query): Query<AuditQuery>,
) -> Told<Json<Vec<AuditOut>>> {
    let part = paged(query.page, A_PAGE)?;
    let plain = |text: &str| text.replace('\0', "");
    let lines = (app.store.audit(&plain(&query.kind), &plain(&query.q), part)).await?;
    Ok(Json(
        (lines.into_iter())
            .map(|line| AuditOut {
                at: rfc3339(line.made_at),
                who: line.who,
                kind: line.kind,
                about: line.about,
            })
            .collect(),
    ))
}
