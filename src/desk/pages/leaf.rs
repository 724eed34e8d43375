//! A result of the garden within a page of the desk.

use super::heard;
use crate::present::site::leaf::{Leaf, Part};
use maud::{Markup, PreEscaped, html};

/// Headline and paragraph.
pub fn answer(leaf: &Leaf) -> Markup {
    html! {
        p.answer { (leaf.headline) }
        p { (leaf.paragraph) }
    }
}

/// The parts that stand open, then the rest, folded away. `key` keeps names within pictures apart
/// from those of other leaves on the page.
pub fn parts(leaf: &Leaf, key: &str, open: usize, folded: &str) -> Markup {
    let (open, rest) = leaf.parts.split_at(open.min(leaf.parts.len()));
    html! {
        @for part in open { (one(part, key)) }
        @if !rest.is_empty() {
            details { summary { (folded) } @for part in rest { (one(part, key)) } }
        }
    }
}

/// Its cautions.
pub fn cautions(leaf: &Leaf) -> Markup {
    heard::cautions(leaf.cautions.iter().map(|c| (c.text, c.source)))
}

fn one(part: &Part, key: &str) -> Markup {
    match part {
        Part::Figures(heading, figures) => html! {
            h3 { (heading) }
            dl.figures { @for (name, value) in figures { div { dt { (name) } dd { (value) } } } }
        },
        Part::List(heading, items) => html! {
            h3 { (heading) }
            ul { @for item in items { li { (item) } } }
        },
        Part::Words(heading, text) => html! { h3 { (heading) } p { (text) } },
        Part::Steps(heading, steps) => html! {
            h3 { (heading) }
            ul.plan { @for (depth, text) in steps { li class=(format!("d{}", depth.min(&8))) { (text) } } }
        },
        Part::Table(heading, head, rows) => html! {
            h3 { (heading) }
            div.scroll tabindex="0" role="group" aria-label=(heading) {
                table {
                    thead { tr { @for cell in head { th scope="col" { (cell) } } } }
                    tbody { @for row in rows { tr { @for cell in row { td { (cell) } } } } }
                }
            }
        },
        Part::Picture {
            heading,
            svg,
            narrow,
        } => html! {
            h3 { (heading) }
            @if let Some(narrow) = narrow {
                figure.wide { (PreEscaped(apart(svg, key))) }
                figure.narrow { (PreEscaped(apart(narrow, key))) }
            } @else {
                div.scroll.free tabindex="0" role="group" aria-label=(heading) { (PreEscaped(apart(svg, key))) }
            }
        },
    }
}

/// A drawing with its names made its own. Quotes within its texts are escaped, so that nothing
/// else looks like an attribute.
pub fn apart(svg: &str, key: &str) -> String {
    let svg = svg
        .replace(" id=\"", &format!(" id=\"{key}-"))
        .replace("url(#", &format!("url(#{key}-"));
    let Some((head, rest)) = svg.split_once("aria-labelledby=\"") else {
        return svg;
    };
    let Some((names, rest)) = rest.split_once('"') else {
        return svg;
    };
    let names: Vec<String> = (names.split_whitespace())
        .map(|name| format!("{key}-{name}"))
        .collect();
    format!("{head}aria-labelledby=\"{}\"{rest}", names.join(" "))
}
