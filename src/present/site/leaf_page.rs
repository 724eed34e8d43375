//! A leaf as a page: one file, for screen, telephone and paper.

use super::leaf::{Leaf, Part};
use crate::present::html::frame;
use maud::{Markup, PreEscaped, html};

/// Heading of the cautions.
pub(super) const CAUTIONS: &str = "Before anybody goes to work";

/// Beyond the common style sheet.
const STYLE: &str = "\
.first{margin:20px 0 0;padding:2px 18px 10px;border:2px solid var(--ink)}\
.first h2{margin-top:12px}.first li{font-size:15px}\
.steps{list-style:none;padding:0;overflow-x:auto}.steps li{margin:0 0 6px}\
.tb-heard{fill:#9ccbaa}.tb-useless{fill:#b4babf}\
.tb-t1{fill:#d9742e}.tb-t2{fill:#a93a14}.tb-t3{fill:#5c100d}\
@media screen and (prefers-color-scheme:dark){.tb-heard{fill:#2f6246}.tb-useless{fill:#565f68}\
.tb-t1{fill:#b5561f}.tb-t2{fill:#e8843b}.tb-t3{fill:#ffd08a}}\
td:first-child{overflow-wrap:anywhere;min-width:5.6em}\
figure.free{overflow-x:auto;margin:0 0 12px}figure.free svg{max-width:none;width:auto}\
@media(max-width:640px){th:nth-child(3),td:nth-child(3){display:table-cell}}\
@media print{figure.free svg{max-width:100%;height:auto}\
.first{break-inside:avoid;margin-top:6px;padding:0 10px 4px;border-width:1px}\
.first h2{margin-top:4px}.first li{font-size:8.5pt;line-height:1.25}\
.steps li{margin:0;font-size:9pt;line-height:1.25}\
table{font-size:9pt}th,td{padding:1px 10px 1px 0}}";

/// Renders.
pub(super) fn render(leaf: &Leaf) -> String {
    let body = html! {
        main {
            header {
                p.kicker { (leaf.kicker) }
                h1 { (leaf.headline) }
                p.verdict { (leaf.paragraph) }
            }
            @if !leaf.cautions.is_empty() {
                section.cautions.first {
                    h2 { (CAUTIONS) }
                    ul {
                        @for caution in &leaf.cautions {
                            li {
                                (caution.text) " "
                                span.source { "[" (caution.source) "]" }
                            }
                        }
                    }
                }
            }
            @for part in &leaf.parts { section { (one(part)) } }
        }
    };
    frame::page(&leaf.headline, STYLE, &body)
}

fn one(part: &Part) -> Markup {
    match part {
        Part::Figures(heading, figures) => html! {
            h2 { (heading) }
            dl.figures {
                @for (name, value) in figures { div { dt { (name) } dd { (value) } } }
            }
        },
        Part::List(heading, items) => html! {
            h2 { (heading) }
            ul { @for item in items { li { (item) } } }
        },
        Part::Words(heading, text) => html! { h2 { (heading) } p { (text) } },
        Part::Steps(heading, steps) => html! {
            h2 { (heading) }
            ul.steps {
                @for (depth, text) in steps {
                    li style=(format!("padding-left:{:.1}em", 1.3 * *depth as f64)) { (text) }
                }
            }
        },
        Part::Table(heading, head, rows) => html! {
            h2 { (heading) }
            table {
                thead { tr { @for cell in head { th { (cell) } } } }
                tbody { @for row in rows { tr { @for cell in row { td { (cell) } } } } }
            }
        },
        Part::Picture {
            heading,
            svg,
            narrow,
        } => html! {
            @if !heading.is_empty() { h2 { (heading) } }
            @if let Some(narrow) = narrow {
                figure.wide { (PreEscaped(svg)) }
                figure.narrow { (PreEscaped(narrow)) }
            } @else {
                figure.free tabindex="0" { (PreEscaped(svg)) }
            }
        },
    }
}
