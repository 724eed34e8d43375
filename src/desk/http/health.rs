//! For those who watch the machine.

use super::Desk;
use super::answer::{Refusal, Told};
use crate::desk::store::jobs::Standing;
use axum::Json;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};
use std::fmt::Write;
use std::sync::atomic::{AtomicU64, Ordering};

/// `GET /health`: whether the database answers.
pub async fn health(State(app): Desk) -> Told<Json<Value>> {
    app.store.ping().await?;
    Ok(Json(
        json!({ "state": "well", "version": env!("CARGO_PKG_VERSION") }),
    ))
}

/// `GET /metrics`: the text form that Prometheus reads. It names no one and no link.
pub async fn metrics(State(app): Desk) -> Result<Response, Refusal> {
    let queue = app.store.standing().await?;
    let unremoved = app.store.removals_refused().await?;
    let mut text = String::new();
    let read = |count: &AtomicU64| count.load(Ordering::Relaxed);
    let counts = &app.counts;
    for (name, about, value) in [
        (
            "tailbeat_recordings_received_total",
            "Recordings received since the start.",
            read(&counts.received),
        ),
        (
            "tailbeat_received_bytes_total",
            "Bytes of the recordings received since the start.",
            read(&counts.received_bytes),
        ),
        (
            "tailbeat_sign_ins_refused_total",
            "Sign-ins with a wrong name or password since the start.",
            read(&counts.refused_sign_ins),
        ),
    ] {
        let _ = writeln!(
            text,
            "# HELP {name} {about}\n# TYPE {name} counter\n{name} {value}"
        );
    }
    answers(&mut text, &counts.answers);
    jobs(&mut text, queue);
    let name = "tailbeat_unremoved_originals";
    let _ = writeln!(
        text,
        "# HELP {name} Deleted originals that the store did not let go so far.\n\
         # TYPE {name} gauge\n{name} {unremoved}"
    );
    let kind = "text/plain; version=0.0.4; charset=utf-8";
    Ok(([(header::CONTENT_TYPE, kind)], text).into_response())
}

fn answers(text: &mut String, counts: &[AtomicU64; 6]) {
    let name = "tailbeat_answers_total";
    let _ = writeln!(
        text,
        "# HELP {name} Answers of HTTP since the start, by hundreds of their status.\n\
         # TYPE {name} counter"
    );
    for (hundred, count) in counts.iter().enumerate().skip(1) {
        let count = count.load(Ordering::Relaxed);
        let _ = writeln!(text, "{name}{{status=\"{hundred}xx\"}} {count}");
    }
}

fn jobs(text: &mut String, queue: Standing) {
    let name = "tailbeat_analyses";
    let _ = writeln!(
        text,
        "# HELP {name} Analyses in the queue, by state.\n# TYPE {name} gauge"
    );
    for (state, count) in [
        ("waiting", queue.waiting),
        ("at_work", queue.leased),
        ("done", queue.done),
    ] {
        let _ = writeln!(text, "{name}{{state=\"{state}\"}} {count}");
    }
}
