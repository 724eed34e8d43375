//! Lists of recordings and of cases.

use super::fields::sentence;
use super::frame::moment;
use super::{glyph, words};
use crate::desk::view::{CaseCard, Pager, RecordingRow, RowOutcome};
use crate::present::numbers::{percent, span};
use crate::units::Seconds;
use maud::{Markup, html};

/// Recordings, one a line.
pub fn recordings(rows: &[RecordingRow]) -> Markup {
    html! { ul.log { @for row in rows { li.unseen[!row.seen] { (recording(row)) } } } }
}

/// What was deleted here and still lies in the store; nothing where nothing does.
pub fn unremoved(originals: usize) -> Markup {
    html! {
        @if originals > 0 {
            p.notice.bad role="status" {
                (counted(originals, "deleted original still lies", "deleted originals still lie"))
                " in the store of recordings, which does not let the desk remove "
                @if originals == 1 { "it" } @else { "them" }
                ". The desk goes on trying; whoever runs it finds the reason in its log."
            }
        }
    }
}

/// One recording: when and what on the left, what came of it on the right.
pub fn recording(row: &RecordingRow) -> Markup {
    let from = [
        row.repeater.as_deref().unwrap_or(""),
        &row.place,
        &row.sender,
    ];
    let from: Vec<&str> = from.into_iter().filter(|said| !said.is_empty()).collect();
    html! {
        div.when {
            (moment(row.received))
            @if !row.seen { span.new { "new" } }
        }
        div.what {
            a href=(format!("/recording/{}", row.id)) { (row.file) }
            @if !from.is_empty() { p.quiet { (from.join(" \u{b7} ")) } }
            @if let Some(case) = &row.case { p.quiet { "in case: " (case) } }
        }
        (outcome(&row.outcome))
    }
}

fn outcome(outcome: &RowOutcome) -> Markup {
    match outcome {
        RowOutcome::Pending => html! { div.outcome { span.quiet { "being listened to" } } },
        RowOutcome::Failed(why) => html! {
            div.outcome.whole { span.failed { "not analysed" } p.quiet { (sentence(why)) } }
        },
        RowOutcome::Judged {
            label,
            probability,
            hang_s,
            came_back,
            trials,
            beats,
            corrected,
        } => html! {
            div.outcome {
                @if let Some(word) = corrected {
                    (glyph::tag(word))
                    @if word == label { p.quiet { (percent(*probability)) ", confirmed by a keeper" } }
                    @else { p.quiet { "by a keeper; the program said " (words::verdict(label)) ", " (percent(*probability)) } }
                } @else {
                    (glyph::tag(label))
                    p.quiet { (percent(*probability)) }
                }
            }
            div.beat {
                (glyph::beats(beats))
                p.quiet {
                    @if *trials > 0 { (words::of_trials(*came_back, *trials)) " came back" }
                    @if let Some(hang) = hang_s {
                        @if *trials > 0 { ", " }
                        "hang " (span(Seconds(*hang)))
                    }
                }
            }
        },
    }
}

/// Cases, one a line.
pub fn cases(list: &[CaseCard], with_repeater: bool) -> Markup {
    html! {
        ul.log.cases {
            @for case in list {
                li {
                    div.when { (moment(case.changed)) }
                    div.what {
                        a href=(format!("/case/{}", case.id)) { (case.title) }
                        p.quiet {
                            @if with_repeater { (case.repeater) " \u{b7} " }
                            (counted(case.recordings, "recording", "recordings"))
                        }
                    }
                    div.outcome { (glyph::steps(case.state)) p.quiet { (words::state(case.state)) } }
                }
            }
        }
    }
}

/// `1 recording`, `3 recordings`.
pub fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// Ways to the other pages of a list; `address` ends in `page=`.
pub fn pager(pager: Pager, address: &str) -> Markup {
    html! {
        @if pager.last > 1 {
            nav.pager aria-label="Pages" {
                @if pager.page > 1 {
                    a.press.slim href=(format!("{address}{}", pager.page - 1)) { "Later ones" }
                }
                span { "Page " (pager.page) " of " (pager.last) }
                @if pager.page < pager.last {
                    a.press.slim href=(format!("{address}{}", pager.page + 1)) { "Earlier ones" }
                }
            }
        }
    }
}

/// A text as a value in an address.
pub fn in_address(text: &str) -> String {
    let mut out = String::new();
    for byte in text.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
                out.push(byte as char);
            }
            _ => out += &format!("%{byte:02X}"),
        }
    }
    out
}
