//! The same things as the pages, as JSON for programs: bearer tokens, an OpenAPI description
//! that is made from the handlers themselves.

mod account;
mod cases;
mod files;
mod house;
mod people;
mod recordings;
mod repeaters;
mod take;
mod types;

use super::app::App;
use axum::extract::DefaultBodyLimit;
use axum::{Json, Router};
use std::sync::{Arc, LazyLock};
use types::Refused;
use utoipa::OpenApi;
use utoipa::openapi::security::{HttpAuthScheme, HttpBuilder, SecurityScheme};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// Where it lies.
pub const PREFIX: &str = "/api/v1";
/// Bytes of a request in JSON.
const JSON_BYTES: usize = 512 * 1024;

/// What every request can be answered with when it is not fulfilled.
#[derive(utoipa::IntoResponses)]
#[allow(dead_code, reason = "it is only described; `Refusal` answers")]
enum Refusals {
    /// The request makes no sense; the words say what.
    #[response(status = 400)]
    Bad(Refused),
    /// There is no valid bearer token.
    #[response(status = 401)]
    SignIn(Refused),
    /// The token's owner may only read.
    #[response(status = 403)]
    Forbidden(Refused),
    /// There is nothing here.
    #[response(status = 404)]
    Missing(Refused),
    /// It does not fit what is there already.
    #[response(status = 409)]
    Conflict(Refused),
    /// Larger than allowed.
    #[response(status = 413)]
    TooLarge(Refused),
    /// Too many requests.
    #[response(status = 429)]
    TooMany(Refused),
    /// The store of originals does not answer just now (`store_away`).
    #[response(status = 503)]
    StoreAway(Refused),
}

#[derive(OpenApi)]
#[openapi(
    info(
        title = "tailbeat desk",
        description = "Recordings of repeaters, their verdicts, and the cases made of them. Make \
                       a bearer token on the desk's page of your account."
    ),
    components(schemas(Refused)),
    security(("bearer" = [])),
    modifiers(&Bearer)
)]
struct Description;

struct Bearer;

impl utoipa::Modify for Bearer {
    fn modify(&self, api: &mut utoipa::openapi::OpenApi) {
        let scheme = HttpBuilder::new().scheme(HttpAuthScheme::Bearer).build();
        let parts = api.components.get_or_insert_default();
        parts.add_security_scheme("bearer", SecurityScheme::Http(scheme));
    }
}

/// Everything below [`PREFIX`].
pub fn router() -> Router<Arc<App>> {
    both().0.route(
        &format!("{PREFIX}/openapi.json"),
        axum::routing::get(description),
    )
}

async fn description() -> Json<&'static utoipa::openapi::OpenApi> {
    static API: LazyLock<utoipa::openapi::OpenApi> = LazyLock::new(|| both().1);
    Json(&API)
}

fn both() -> (Router<Arc<App>>, utoipa::openapi::OpenApi) {
    let streamed = OpenApiRouter::new()
        .routes(routes!(repeaters::send_in))
        .routes(routes!(files::take_in))
        .layer(DefaultBodyLimit::disable());
    let all = OpenApiRouter::new()
        .routes(routes!(repeaters::all, repeaters::new))
        .routes(routes!(
            repeaters::one,
            repeaters::change,
            repeaters::delete
        ))
        .routes(routes!(repeaters::trend))
        .routes(routes!(repeaters::renew_link))
        .routes(routes!(recordings::of_repeater))
        .routes(routes!(recordings::all))
        .routes(routes!(recordings::seen))
        .routes(routes!(recordings::one, recordings::delete))
        .routes(routes!(recordings::progress))
        .routes(routes!(recordings::again))
        .routes(routes!(recordings::check))
        .routes(routes!(recordings::original))
        .routes(routes!(recordings::correct))
        .routes(routes!(recordings::notes, recordings::note))
        .routes(routes!(cases::all))
        .routes(routes!(cases::of_repeater, cases::new))
        .routes(routes!(cases::one, cases::change, cases::delete))
        .routes(routes!(cases::state))
        .routes(routes!(cases::put_recording, cases::take_recording_out))
        .routes(routes!(cases::keep_test))
        .routes(routes!(cases::delete_test))
        .routes(routes!(cases::keep_site))
        .routes(routes!(cases::plan))
        .routes(routes!(files::timeline))
        .routes(routes!(files::captions))
        .routes(routes!(files::page))
        .routes(routes!(files::dossier))
        .routes(routes!(files::bundle))
        .routes(routes!(files::corrections))
        .routes(routes!(house::audit))
        .routes(routes!(people::all))
        .routes(routes!(people::change_role))
        .routes(routes!(people::remove))
        .routes(routes!(people::invitations, people::invite))
        .routes(routes!(people::withdraw))
        .routes(routes!(account::own))
        .routes(routes!(account::password))
        .routes(routes!(account::tokens, account::new_token))
        .routes(routes!(account::revoke))
        .routes(routes!(account::end_sessions))
        .layer(DefaultBodyLimit::max(JSON_BYTES))
        .merge(streamed);
    OpenApiRouter::with_openapi(Description::openapi())
        .nest(PREFIX, all)
        .split_for_parts()
}
