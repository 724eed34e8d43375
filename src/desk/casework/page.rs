//! A case as one page that stands alone: pictures within it, nothing to fetch, no script.

use super::measuring;
use super::whole::Whole;
use crate::desk::app::App;
use crate::desk::casework::{chain, dossier};
use crate::desk::fault::Outcome;
use crate::desk::fill;
use crate::desk::moment::rfc3339;
use crate::desk::store::rows::{Note, Recording};
use crate::desk::view::{Heard, Pictures};
use crate::present::site::leaf::Leaf;
use crate::present::text::Style;
use base64::Engine;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Columns of what commands would print.
const WIDTH: usize = 96;

const STYLE: &str = "\
:root{color-scheme:light dark;font:1rem/1.5 system-ui,sans-serif}\
body{max-width:60rem;margin:2rem auto;padding:0 1rem}\
h1{font-size:1.6rem}h2{font-size:1.25rem;margin-top:2.5rem;border-top:1px solid #8888;padding-top:1rem}\
h3{font-size:1.05rem}img{max-width:100%;height:auto}\
pre{overflow-x:auto;font-size:.8rem;line-height:1.35}\
dl{display:grid;grid-template-columns:max-content 1fr;gap:.2rem 1rem}dd{margin:0}\
code{overflow-wrap:anywhere}@media print{body{margin:0}}";

/// The page.
///
/// # Errors
/// The database fails, or what is kept is damaged.
pub async fn page(app: &App, whole: &Whole) -> Outcome<String> {
    let case = &whole.case;
    let history = app.store.history_of(&case.id).await?;
    let mut recordings = Vec::new();
    for (recording, phase) in &whole.recordings {
        let notes = app.store.notes_on(&recording.id).await?;
        let heard = match app.store.result_of(&recording.id).await? {
            Some(kept) => Some((fill::read(&kept.heard_json)?, fill::read(&kept.pictures_json)?)),
            None => None,
        };
        recordings.push(of_recording(recording, phase, heard.as_ref(), &notes));
    }
    let tests = (whole.measured.iter())
        .map(|test| {
            let name = format!("{} ({}) {}", measured(&test.kind), test.phase, test.day);
            Ok(of_leaf(&name, &measuring::leaf(test)?))
        })
        .collect::<Outcome<Vec<_>>>()?;
    let plan = case.site_toml.as_deref().map(chain::plan).transpose()?;
    let proof = whole.comparison().ok().flatten();
    let body = html! {
        h1 { (case.title) }
        dl {
            dt { "Repeater" } dd { (whole.repeater.name) }
            dt { "State" } dd { (case.state.replace('_', " ")) }
            @if !case.work.is_empty() { dt { "Repaired" } dd { (case.work) } }
        }
        @if let Some(proof) = &proof {
            @let said = dossier::shown(proof);
            h2 { "Before and after" }
            p { strong { (said.headline) } }
            @for paragraph in &said.paragraphs { p { (paragraph) } }
            p { (said.next_step) }
        }
        h2 { "What happened" }
        @for line in &history { (of_history(line)) }
        h2 { "Recordings" }
        @for recording in &recordings { (recording) }
        @if !tests.is_empty() { h2 { "Measured" } }
        @for test in &tests { (test) }
        @if let Some(plan) = &plan { h2 { "The search for the bad part" } (of_leaf("The plan", plan)) }
    };
    Ok(around(&case.title, &body))
}

fn measured(kind: &str) -> &'static str {
    if kind == "tee" {
        "Levels at the isolated tee"
    } else {
        "Stepped back-off test"
    }
}

fn of_history(line: &Note) -> Markup {
    let state = line.new_state.as_deref().unwrap_or_default().replace('_', " ");
    html! {
        p { (rfc3339(line.made_at)) ": " strong { (state) } ", " (line.made_by)
            @if !line.words.is_empty() { ": " (line.words) } }
    }
}

fn of_recording(
    recording: &Recording,
    phase: &str,
    heard: Option<&(Heard, Pictures)>,
    notes: &[Note],
) -> Markup {
    html! {
        h3 { (recording.file_name) " (" (phase) ")" }
        @if let Some((heard, pictures)) = heard {
            p { strong { (heard.headline) } " " (heard.trade_word) ", " (heard.certainty) }
            p { (heard.paragraph) }
            img src=(in_page(&pictures.file)) alt="The timeline of this recording";
            dl { @for (name, value) in &heard.figures { dt { (name) } dd { (value) } } }
        } @else {
            p { (recording.fault.as_deref().unwrap_or("Not analysed yet.")) }
        }
        @if let Some(label) = &recording.corrected {
            p { "A keeper says that it really was " strong { (label.replace('_', " ")) } "."
                " " (recording.correction_note.as_deref().unwrap_or_default()) }
        }
        dl {
            dt { "Received" } dd { (rfc3339(recording.received_at)) }
            @for (name, said) in [
                ("Listened from", &recording.place),
                ("Listened on", &recording.radio),
                ("Noticed", &recording.noticed),
            ] { @if !said.is_empty() { dt { (name) } dd { (said) } } }
            dt { "SHA-256" } dd { code { (recording.sha256) } }
        }
        @for note in notes { p { (note.made_by) ": " (note.words) } }
    }
}

fn of_leaf(name: &str, leaf: &Leaf) -> Markup {
    let style = Style {
        width: WIDTH,
        colour: false,
    };
    html! { h3 { (name) } pre { (leaf.text(style)) } }
}

/// A picture within the page's own text.
fn in_page(svg: &str) -> String {
    let packed = base64::engine::general_purpose::STANDARD.encode(svg);
    format!("data:image/svg+xml;base64,{packed}")
}

fn around(title: &str, body: &Markup) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body { (body) }
        }
    }
    .into_string()
}
