//! HTTP: every handler takes a request apart, calls one thing, and words nothing.

mod again;
mod answer;
mod cases;
mod chain;
mod door;
mod exports;
mod files;
mod guard;
mod headers;
mod health;
mod home;
mod house;
mod member;
mod parts;
mod recordings;
mod refused;
mod repeaters;

pub use answer::{Refusal, Told};
pub use cases::{TITLE_CHARS, WORK_CHARS, sheet_of};
pub use exports::{bundle_of, corrections_of, most as most_of_a_bundle, page_of};
pub use files::sound;
pub use guard::{Fields, may_change};
pub use house::{LABEL_CHARS, MOST_DAYS, change_password, invitation_link};
pub use member::SILENCE;
pub use parts::PREFIX as PARTS_PREFIX;
pub use recordings::{captions_of, known_label, known_mode, picture_of};
pub use repeaters::{delete_all, filter, slice};

use super::api;
use super::app::App;
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::routing::{get, head, post};
use std::sync::Arc;

/// Bytes of a form without a file.
const FORM_BYTES: usize = 512 * 1024;

/// State of every handler.
pub type Desk = axum::extract::State<Arc<App>>;

/// Everything that can be asked for.
pub fn router(app: Arc<App>) -> Router {
    let streamed = Router::new()
        .route("/to/{key}", get(member::send_in).post(member::sent))
        .route(
            "/to/{key}/uploads/{upload}",
            head(parts::offset).patch(parts::append),
        )
        .route("/import", get(exports::import).post(exports::import_done))
        .layer(DefaultBodyLimit::disable());
    Router::new()
        .merge(at_the_door())
        .merge(of_repeaters())
        .merge(of_cases())
        .merge(of_the_house())
        .merge(api::router())
        .route("/to/{key}/uploads", post(parts::begin))
        .route("/to/{key}/uploads/{upload}/finish", post(parts::finish))
        .route("/receipt/{secret}", get(member::receipt))
        .route("/receipt/{secret}/state", get(member::state))
        .route("/receipt/{secret}/timeline.svg", get(member::timeline))
        .route("/assets/{name}", get(files::asset))
        .route("/health", get(health::health))
        .route("/metrics", get(health::metrics))
        .layer(DefaultBodyLimit::max(FORM_BYTES))
        .merge(streamed)
        .fallback(answer::nothing_here)
        .layer(axum::middleware::from_fn_with_state(
            Arc::clone(&app),
            headers::around,
        ))
        .with_state(app)
}

type Routes = Router<Arc<App>>;

fn at_the_door() -> Routes {
    Router::new()
        .route("/setup/{token}", get(door::set_up).post(door::set_up_done))
        .route(
            "/invited/{token}",
            get(door::invited).post(door::invited_done),
        )
        .route("/again/{token}", get(again::page).post(again::done))
        .route("/sign-in", get(door::sign_in).post(door::sign_in_done))
        .route("/sign-out", post(door::sign_out))
}

fn of_repeaters() -> Routes {
    Router::new()
        .route("/", get(home::home))
        .route(
            "/repeater/new",
            get(repeaters::new).post(repeaters::new_done),
        )
        .route("/repeater/{id}", get(repeaters::page))
        .route(
            "/repeater/{id}/edit",
            get(repeaters::edit).post(repeaters::edit_done),
        )
        .route("/repeater/{id}/link", get(repeaters::link))
        .route("/repeater/{id}/link/renew", post(repeaters::renew))
        .route("/repeater/{id}/case", post(repeaters::open_case))
        .route("/repeater/{id}/delete", post(repeaters::delete))
        .route("/recording/{id}", get(recordings::page))
        .route("/recording/{id}/state", get(recordings::state))
        .route("/recording/{id}/audio", get(recordings::audio))
        .route("/recording/{id}/timeline.svg", get(recordings::timeline))
        .route("/recording/{id}/captions.vtt", get(recordings::captions))
        .route("/recording/{id}/note", post(recordings::note))
        .route("/recording/{id}/correct", post(recordings::correct))
        .route("/recording/{id}/case", post(recordings::into_case))
        .route("/recording/{id}/again", post(recordings::again))
        .route("/recording/{id}/delete", post(recordings::delete))
}

fn of_cases() -> Routes {
    Router::new()
        .route("/case/{id}", get(cases::page))
        .route("/case/{id}/state", post(cases::state))
        .route("/case/{id}/title", post(cases::title))
        .route("/case/{id}/work", post(cases::work))
        .route("/case/{id}/recording/{recording}", post(cases::recording))
        .route("/case/{id}/backoff", post(cases::backoff))
        .route("/case/{id}/tee", post(cases::tee))
        .route("/case/{id}/test/{test}/delete", post(cases::delete_test))
        .route("/case/{id}/chain", post(chain::keep))
        .route("/case/{id}/load", post(chain::load))
        .route("/case/{id}/load/{n}", post(chain::change_load))
        .route("/case/{id}/dossier.html", get(cases::sheet))
        .route("/case/{id}/page.html", get(exports::page))
        .route("/case/{id}/bundle.zip", get(exports::bundle))
        .route("/repeater/{id}/corrections.zip", get(exports::corrections))
        .route("/case/{id}/delete", post(cases::delete))
}

fn of_the_house() -> Routes {
    Router::new()
        .route("/keepers", get(house::keepers))
        .route("/keepers/invite", post(house::invite))
        .route("/keepers/invitation/{id}/withdraw", post(house::withdraw))
        .route("/keepers/{id}/role", post(house::change_role))
        .route("/keepers/{id}/remove", post(house::remove))
        .route("/audit", get(house::audit))
        .route("/account", get(house::account))
        .route("/account/password", post(house::password))
        .route("/account/tokens", post(house::new_token))
        .route("/account/tokens/{id}/revoke", post(house::revoke))
        .route("/account/sessions/end", post(house::end_sessions))
}
