//! Stepped tests and tee readings of a case.

use super::case::phase_field;
use super::fields::{Field, Forms, form};
use super::{leaf, words};
use crate::desk::view::{CasePage, FiledTest, Phase};
use maud::{Markup, html};

/// Rows offered for a stepped test.
const ROWS: usize = 6;
/// Usual step, dB: common practice, no source.
const STEP_DB: usize = 2;

/// Stepped tests.
pub fn stepped(view: &CasePage, may: bool) -> Markup {
    html! {
        section id="stepped" {
            h2 { "Stepped tests" }
            @if view.backoffs.is_empty() {
                p {
                    "Lower a test signal into the repeater until it just drops; let the hang time \
                     run out; lower it further step by step, and count how often the carrier comes \
                     back by itself. That puts a number on the desense."
                }
            }
            (kept(view, &view.backoffs, "stepped", may))
            @if may {
                (Forms(&view.wrong).refused("backoff"))
                details open[Forms(&view.wrong).is("backoff")] {
                    summary { "Add a stepped test" }
                    (form(&view.shell, &format!("/case/{}/backoff#stepped", view.case.id), "stack", &steps_form(view)))
                }
            }
        }
    }
}

/// What was measured, with a way to be rid of it.
fn kept(view: &CasePage, tests: &[FiledTest], part: &str, may: bool) -> Markup {
    html! {
        @for test in tests {
            article.measured {
                p.kicker { (dated(&test.day)) (words::phase(test.phase)) }
                (leaf::answer(&test.leaf))
                (leaf::parts(&test.leaf, &format!("t-{}", test.id), 0, "All of it"))
                @if may { (delete(view, test, part)) }
            }
        }
    }
}

/// The day of a test, where it was told.
pub(super) fn dated(day: &str) -> Markup {
    html! { @if !day.is_empty() { (day) ", " } }
}

/// Two presses: what was measured on a hill is not to go by a slip of the thumb.
fn delete(view: &CasePage, test: &FiledTest, part: &str) -> Markup {
    let action = format!("/case/{}/test/{}/delete#{part}", view.case.id, test.id);
    html! {
        details.inline {
            summary aria-label=(format!("Delete: {}", test.leaf.headline)) { "Delete" }
            (form(&view.shell, &action, "", &html! { button.slim.grave { "Delete it for good" } }))
        }
    }
}

fn steps_form(view: &CasePage) -> Markup {
    let head = ["Lowered by, dB", "Drops", "Came back"];
    let typed = |name, else_this| view.typed("backoff", name, 0).unwrap_or(else_this);
    let rows = view
        .not_taken("backoff")
        .map_or(0, |form| form.count("backoff_db"));
    let cell = |name, n| view.typed("backoff", name, n).unwrap_or_default();
    html! {
        div.row {
            (Field::new("day", "Day", typed("day", "")).id("backoff-day").kind("date").show())
            (phase_field("backoff-phase", typed("phase", later_phase(view))))
            (Field::new("hysteresis_db", "Squelch hysteresis, dB", typed("hysteresis_db", &view.hysteresis_db))
                .id("backoff-hysteresis").number().show())
        }
        div.scroll {
            table.entry {
                thead { tr { @for name in head { th scope="col" { (name) } } } }
                tbody data-rows="One more step" {
                    @for n in 0..ROWS.max(rows) {
                        @let usual = (STEP_DB * n).to_string();
                        @let db = view.typed("backoff", "backoff_db", n).unwrap_or(&usual);
                        tr {
                            td { input name="backoff_db" value=(db) inputmode="decimal" aria-label="Lowered by, dB"; }
                            td { input name="trials" value=(cell("trials", n)) inputmode="numeric" aria-label="Drops"; }
                            td { input name="came_back" value=(cell("came_back", n)) inputmode="numeric" aria-label="Came back"; }
                        }
                    }
                }
            }
        }
        p.hint { "0 is the level at which it just drops. Leave steps that you did not make empty." }
        button { "Add this test" }
    }
}

/// After a repair what is added belongs to the time after it.
fn later_phase(view: &CasePage) -> &'static str {
    if view.case.state >= crate::desk::view::CaseState::Repaired {
        Phase::After.as_str()
    } else {
        Phase::Before.as_str()
    }
}

/// Tee readings.
pub fn tee(view: &CasePage, may: bool) -> Markup {
    html! {
        section id="tee" {
            h2 { "Isolated tee" }
            @if view.tees.is_empty() {
                p {
                    "With a generator on an isolated tee at the receiver: the level for the same \
                     quality with the transmitter off and on, on a load and on the antenna. The \
                     differences tell desense, site noise and leakage in the cabinet apart."
                }
            }
            (kept(view, &view.tees, "tee", may))
            @if may {
                (Forms(&view.wrong).refused("tee"))
                details open[Forms(&view.wrong).is("tee")] {
                    summary { "Add readings" }
                    (form(&view.shell, &format!("/case/{}/tee#tee", view.case.id), "stack", &tee_form(view)))
                }
            }
        }
    }
}

fn tee_form(view: &CasePage) -> Markup {
    let pair = |word: &str, name: &str| (word.to_owned(), name.to_owned());
    let criteria = [
        pair("sinad_12_db", "12 dB SINAD"),
        pair("quieting_20_db", "20 dB quieting"),
    ];
    let units = [pair("dbm", "dBm"), pair("uv", "\u{b5}V")];
    let typed = |name, else_this| view.typed("tee", name, 0).unwrap_or(else_this);
    let line = |name, label| Field::new(name, label, typed(name, ""));
    html! {
        div.row {
            (line("day", "Day").id("tee-day").kind("date").show())
            (phase_field("tee-phase", typed("phase", later_phase(view))))
        }
        div.row {
            (Field::new("criterion", "Level for", typed("criterion", "sinad_12_db")).one_of(&criteria))
            (Field::new("unit", "Unit", typed("unit", "dbm")).one_of(&units))
            (line("tee_loss_db", "Loss of the tee, dB").number().show())
        }
        div.row {
            (line("load_off", "Load, transmitter off").show())
            (line("antenna_off", "Antenna, transmitter off").show())
        }
        div.row {
            (line("load_on", "Load, transmitter on").show())
            (line("antenna_on", "Antenna, transmitter on").show())
        }
        p.hint { "Several readings of one state with blanks between them. A state that you did not read stays empty." }
        button { "Add these readings" }
    }
}
