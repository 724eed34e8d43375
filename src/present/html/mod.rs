//! `report.html`: one self-contained page, for screen, telephone and paper.

pub(super) mod frame;
mod player;
mod sections;

use crate::cause::verdict::Label;
use crate::check::Check;
use crate::present::picture::{self, Format, Options, Theme};
use crate::present::story::{Story, tell};
use crate::present::wording::page as words;
use maud::{Markup, PreEscaped, html};

/// Where the page finds the sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sound<'a> {
    /// In the page itself: the file's own bytes.
    Embedded {
        /// Media type, such as `audio/mp4`.
        media_type: &'a str,
        /// The file.
        bytes: &'a [u8],
    },
    /// In a file, by its path relative to the page, with `/` between folders.
    Linked {
        /// The path, not yet escaped.
        path: &'a str,
    },
    /// Nowhere.
    None,
}

/// The page.
#[must_use]
pub fn render(check: &Check, sound: Sound<'_>) -> String {
    let story = tell(check);
    let title = format!("{}: {}", check.recording.name, story.headline);
    let body = html! {
        main {
            (head(check, &story))
            (heard(check, sound))
            (sections::figures(&story))
            (sections::evidence(&story))
            (sections::doubts(&story))
            (sections::next_step(&story))
            (sections::cautions(&story))
            (sections::events(check))
            (sections::file(check, &story))
        }
        script { (PreEscaped(include_str!("page.js"))) }
    };
    frame::page(&title, "", &body)
}

fn head(check: &Check, story: &Story) -> Markup {
    let filled = (check.verdict.probability * 20.0).floor().clamp(0.0, 20.0) as usize;
    html! {
        header {
            p.kicker { (words::KICKER) }
            p.name { (check.recording.name) }
            h1 { (story.headline) }
            p.sure {
                span.word { (story.trade_word) } " " (story.certainty)
                @if check.verdict.label != Label::Inconclusive {
                    span.chances role="img" aria-label=(words::out_of_twenty(filled)) {
                        @for n in 0..20 { i.on[n < filled] {} }
                    }
                }
            }
            p.verdict { (story.paragraph) }
        }
    }
}

fn heard(check: &Check, sound: Sound<'_>) -> Markup {
    let drawing = |format, id| {
        let options = Options {
            format,
            theme: Theme::Auto,
            id,
            with_style: false,
            with_head: false,
        };
        PreEscaped(picture::svg(check, options))
    };
    html! {
        section.heard {
            h2 { (words::PICTURE) }
            (player::player(check, sound))
            figure.wide { (drawing(Format::Wide, "w")) }
            figure.narrow { (drawing(Format::Narrow, "n")) }
        }
    }
}
