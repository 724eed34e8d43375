//! A whole case as one file: opened without a desk, printed, handed on.

use super::case::states;
use super::frame::moment;
use super::measured::dated;
use super::receipt::remarks;
use super::recording::corrected;
use super::{chain, glyph, heard, leaf, words};
use crate::desk::assets;
use crate::desk::view::{Analysis, CaseFile, FiledRecording, FiledTest, Heard, Pictures};
use crate::present::wording::cautions::for_site_work;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// The file.
#[must_use]
pub fn case_file(view: &CaseFile) -> String {
    let style = assets::at(assets::href("desk.css")).map_or("", |sheet| sheet.text.as_str());
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (view.case.title) " \u{b7} " (view.case.repeater) }
                style { (PreEscaped(style)) }
            }
            body.desk.file {
                main {
                    p.kicker { "A case of " (view.case.repeater) ", as of " (moment(view.made)) }
                    h1 { (view.case.title) }
                    p { (glyph::steps(view.case.state)) " " b { (words::state(view.case.state)) } }
                    (proof(view))
                    (history(view))
                    (recordings(view))
                    (tests("Stepped tests", &view.backoffs))
                    (tests("Isolated tee", &view.tees))
                    (search(view))
                    (heard::cautions(for_site_work().iter().map(|c| (c.text, c.source))))
                }
            }
        }
    };
    page.into_string()
}

fn proof(view: &CaseFile) -> Markup {
    html! {
        @if let Some(dossier) = &view.dossier {
            section {
                h2 { "Before and after" }
                @if !view.work.is_empty() { p { "Done between the two: " (view.work) } }
                p.answer { (dossier.headline) }
                @for said in &dossier.paragraphs { p { (said) } }
                p.standing {
                    b { @if dossier.enough { "Enough for a proof. " } @else { "Not enough for a proof yet. " } }
                    (dossier.next_step)
                }
            }
        }
    }
}

fn history(view: &CaseFile) -> Markup {
    html! {
        section {
            h2 { "What happened" }
            (states(&view.history))
        }
    }
}

fn recordings(view: &CaseFile) -> Markup {
    html! {
        section {
            h2 { "Recordings" }
            @if view.recordings.is_empty() { p { "None." } }
            @for one in &view.recordings { (recording(one)) }
        }
    }
}

fn recording(one: &FiledRecording) -> Markup {
    let of = &one.recording;
    html! {
        article.measured {
            p.kicker {
                (of.file) ", received " (moment(of.received)) ", " (words::phase(one.phase))
            }
            @match &of.analysis {
                Analysis::Done { heard, pictures } => (judged(heard, pictures, &of.id)),
                Analysis::Failed { what } => p.answer { "Not analysed: " (what) },
                Analysis::Waiting { .. } | Analysis::Working { .. } => p.answer { "Not analysed yet" },
            }
            (corrected(of))
            (remarks(&of.said))
            @for note in &of.notes {
                div.note { p.quiet { (note.by) ", " (moment(note.when)) } p.typed { (note.text) } }
            }
            p.quiet { (words::size(of.size_bytes)) ", SHA-256 " code { (of.sha256) } }
        }
    }
}

/// `key` keeps names within the drawings apart from those of other recordings.
fn judged(heard: &Heard, pictures: &Pictures, key: &str) -> Markup {
    let [wide, narrow] = [&pictures.wide, &pictures.narrow].map(|svg| leaf::apart(svg, key));
    html! {
        p.answer { (heard.headline) }
        p.sure { (glyph::tag(&heard.label)) span { (heard.certainty) } }
        p { (heard.paragraph) }
        figure.wide { (PreEscaped(wide)) }
        figure.narrow { (PreEscaped(narrow)) }
        dl.figures { @for (name, value) in &heard.figures { div { dt { (name) } dd { (value) } } } }
        @if !heard.doubts.is_empty() { ul { @for doubt in &heard.doubts { li { (doubt) } } } }
    }
}

fn tests(heading: &str, list: &[FiledTest]) -> Markup {
    html! {
        @if !list.is_empty() {
            section {
                h2 { (heading) }
                @for test in list {
                    article.measured {
                        p.kicker { (dated(&test.day)) (words::phase(test.phase)) }
                        (leaf::answer(&test.leaf))
                        (leaf::parts(&test.leaf, &test.id, test.leaf.parts.len(), ""))
                    }
                }
            }
        }
    }
}

fn search(view: &CaseFile) -> Markup {
    html! {
        @if let Some(plan) = &view.hunt {
            section {
                h2 { "Fault search" }
                (leaf::answer(plan))
                @if !view.chain_results.is_empty() {
                    ol.results { @for result in &view.chain_results { li { (chain::said(result)) } } }
                }
                (leaf::parts(plan, "search", plan.parts.len(), ""))
            }
        }
    }
}
