//! The dossier: one page for a site owner, a rigger, a club; one sheet of A4 or of letter.

use super::beats::{View, svg};
use super::leaf::{cautions, stated};
use crate::compare::Comparison;
use crate::compare::evidence::{Content, Exhibit, Heard};
use crate::present::html::frame;
use crate::present::numbers::span;
use crate::present::picture::sheet::Format;
use crate::present::wording::compare as words;
use crate::present::wording::compare::{doubts, figures};
use crate::tuning::compare::{LISTED_DOUBTS, LISTED_EXHIBITS};
use maud::{Markup, PreEscaped, html};

/// Name of the machine-readable result beside the page.
pub const RESULT: &str = "compare.json";
/// Name of the page.
pub const PAGE: &str = "dossier.html";

/// Doubts, files and cautions that leave the picture its full size.
const ROOMY_LINES: usize = 9;
/// Longest file name that is printed whole; the machine-readable result has it all.
const NAME_CHARS: usize = 40;

/// The page. `result_sha256` is the fingerprint of the machine-readable result beside it.
#[must_use]
pub fn page(of: &Comparison, result_sha256: &str) -> String {
    let headline = words::headline(of);
    let body = html! {
        main.crowded[crowded(of)] {
            header {
                p.kicker { (kicker(of)) }
                h1 { (headline) }
                div.verdict { @for said in words::paragraphs(of) { p { (said) } } }
            }
            (beats(of))
            div.cols {
                (numbers(of))
                div {
                    section.next { h2 { (words::NEXT_STEP) } p { (words::next_step(of)) } }
                    (against(of))
                }
            }
            div.foot { (files(of, result_sha256)) (careful(of)) }
            p.fine { (words::FINGERPRINTS) " " (words::method()) }
        }
    };
    frame::page(&headline, include_str!("dossier.css"), &body)
}

/// Whether paper has to be saved so that everything stays on one sheet.
fn crowded(of: &Comparison) -> bool {
    let lines = of.doubts.len() + of.before.len() + of.after.len() + cautions(of).len();
    lines > ROOMY_LINES
}

fn kicker(of: &Comparison) -> String {
    let mut said = words::KICKER.to_owned();
    for (name, value) in stated(of) {
        said += &format!(" \u{b7} {}: {value}", name.to_lowercase());
    }
    said
}

fn beats(of: &Comparison) -> Markup {
    let drawing = |format, id| {
        PreEscaped(svg(
            of,
            View {
                format,
                theme: None,
                id,
            },
        ))
    };
    html! {
        section {
            h2 { (words::PICTURE) }
            figure.wide.beats { (drawing(Format::Wide, "w")) }
            figure.narrow.beats { (drawing(Format::Narrow, "n")) }
        }
    }
}

fn numbers(of: &Comparison) -> Markup {
    html! {
        section {
            h2 { (words::NUMBERS) }
            table.compared {
                thead { tr { @for head in figures::COLUMNS { th { (head) } } } }
                tbody {
                    @for (name, before, after) in figures::rows(of) {
                        tr { td { (name) } td { (before) } td { (after) } }
                    }
                    @for (name, value) in figures::tests(of) {
                        tr { td { (name) } td colspan="2" { (value) } }
                    }
                }
            }
        }
    }
}

fn against(of: &Comparison) -> Markup {
    let left = of.doubts.len().saturating_sub(LISTED_DOUBTS);
    html! {
        @if !of.doubts.is_empty() {
            section {
                h2 { (words::DOUBTS) }
                ul.doubts {
                    @for doubt in of.doubts.iter().take(LISTED_DOUBTS) {
                        li { (doubts::sentence(doubt)) }
                    }
                    @if left > 0 { li { (words::more_doubts(left)) } }
                }
            }
        }
    }
}

fn files(of: &Comparison, result_sha256: &str) -> Markup {
    let all = [("before", &of.before), ("after", &of.after)];
    let list: Vec<(&str, &Exhibit)> = all
        .into_iter()
        .flat_map(|(word, set)| set.iter().map(move |exhibit| (word, exhibit)))
        .collect();
    let left = list.len().saturating_sub(LISTED_EXHIBITS);
    html! {
        section.evidence-files {
            h2 { (words::EXHIBITS) }
            ul.files {
                @for (word, exhibit) in list.iter().take(LISTED_EXHIBITS) {
                    li { (word) ": " (described(exhibit)) " " code { (exhibit.sha256) } }
                }
                @if left > 0 { li { (words::more_exhibits(left)) } }
                li { "result: " (RESULT) " " code { (result_sha256) } }
            }
        }
    }
}

/// The file and what it holds.
fn described(exhibit: &Exhibit) -> String {
    let name = exhibit.file.rsplit('/').next().unwrap_or(&exhibit.file);
    let held: Vec<String> = exhibit.content.iter().take(1).map(held).collect();
    let more = if exhibit.content.len() > 1 {
        format!(", and {} more", exhibit.content.len() - 1)
    } else {
        String::new()
    };
    format!("{} ({}{more})", short(name), held.join("; "))
}

/// A name with its middle left out where it is too long.
fn short(name: &str) -> String {
    let chars: Vec<char> = name.chars().collect();
    if chars.len() <= NAME_CHARS {
        return name.into();
    }
    let (head, tail) = (NAME_CHARS / 2, NAME_CHARS - NAME_CHARS / 2 - 1);
    let (head, tail) = (&chars[..head], &chars[chars.len() - tail..]);
    head.iter().chain(&['\u{2026}']).chain(tail).collect()
}

fn held(content: &Content) -> String {
    let recording = |heard: &Heard| {
        let start = heard.started_at.as_ref();
        let start = start.map_or(String::new(), |at| format!(", started {at}"));
        format!("{}{start}", span(heard.duration))
    };
    match content {
        Content::Recording(heard) => recording(heard),
        Content::SavedCheck(heard) => {
            format!("result of {}, {}", short(&heard.name), recording(heard))
        }
        Content::SavedTest(test) => words::trials_of_test(test.trials.len()),
    }
}

fn careful(of: &Comparison) -> Markup {
    html! {
        section.cautions {
            h2 { (words::CAUTIONS) }
            ul {
                @for caution in cautions(of) {
                    li { (caution.text) " " span.source { "[" (caution.source) "]" } }
                }
            }
        }
    }
}
