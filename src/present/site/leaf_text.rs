//! A leaf for a terminal.

use super::leaf::{Leaf, Part};
use crate::present::numbers::plain;
use crate::present::text::Style;
use crate::present::text::paint::{Paint, Pen};
use crate::present::text::wrap::{hanging, width_of};
use crate::present::wording::cautions::Caution;

/// Narrowest and widest layout, in columns.
const WIDTHS: (usize, usize) = (40, 96);
/// Least room for a value beside its name.
const BESIDE: usize = 24;

/// Renders.
pub(super) fn render(leaf: &Leaf, style: Style) -> String {
    let width = style.width.clamp(WIDTHS.0, WIDTHS.1);
    let mut page = Page {
        out: String::new(),
        width,
        pen: Pen {
            colour: style.colour,
        },
    };
    page.cautions(&leaf.cautions);
    for line in hanging("", "", &leaf.headline, width) {
        page.painted(Paint::Headline, &line);
    }
    page.line("");
    page.wrapped("", "", &leaf.paragraph);
    for part in &leaf.parts {
        page.part(part);
    }
    plain(&page.out)
}

struct Page {
    out: String,
    width: usize,
    pen: Pen,
}

impl Page {
    fn line(&mut self, text: &str) {
        // Names come from files: nothing in them may drive the terminal.
        let safe = |c: char| {
            if c.is_control() && c != '\u{1b}' {
                '\u{fffd}'
            } else {
                c
            }
        };
        self.out.extend(text.trim_end().chars().map(safe));
        self.out.push('\n');
    }

    fn painted(&mut self, paint: Paint, text: &str) {
        let harmless: String = text
            .chars()
            .map(|c| if c.is_control() { '\u{fffd}' } else { c })
            .collect();
        let painted = self.pen.paint(paint, &harmless);
        self.line(&painted);
    }

    fn wrapped(&mut self, first: &str, rest: &str, text: &str) {
        let harmless: String = text
            .chars()
            .map(|c| if c.is_control() { '\u{fffd}' } else { c })
            .collect();
        for line in hanging(first, rest, &harmless, self.width) {
            self.line(&line);
        }
    }

    fn heading(&mut self, text: &str) {
        self.line("");
        self.painted(Paint::Heading, text);
    }

    fn cautions(&mut self, cautions: &[Caution]) {
        if cautions.is_empty() {
            return;
        }
        self.painted(Paint::Heading, super::leaf_page::CAUTIONS);
        for caution in cautions {
            self.wrapped(
                "  ! ",
                "    ",
                &format!("{} [{}]", caution.text, caution.source),
            );
        }
        self.line("");
    }

    fn part(&mut self, part: &Part) {
        match part {
            Part::Figures(heading, figures) => {
                self.heading(heading);
                self.figures(figures);
            }
            Part::List(heading, items) => {
                self.heading(heading);
                for item in items {
                    self.wrapped("  * ", "    ", item);
                }
            }
            Part::Words(heading, text) => {
                self.heading(heading);
                self.wrapped("  ", "  ", text);
            }
            Part::Steps(heading, steps) => {
                self.heading(heading);
                for (depth, text) in steps {
                    let first = "  ".repeat(depth + 1);
                    self.wrapped(&first, &format!("{first}  "), text);
                }
            }
            Part::Table(heading, head, rows) => {
                self.heading(heading);
                self.table(head, rows);
            }
            Part::Picture { .. } => {}
        }
    }

    fn figures(&mut self, figures: &[(String, String)]) {
        let column = figures
            .iter()
            .map(|(name, _)| width_of(name))
            .max()
            .unwrap_or(0)
            + 4;
        for (name, value) in figures {
            if column + BESIDE <= self.width {
                let pad = column - 2 - width_of(name);
                let first = format!("  {name}{}", " ".repeat(pad));
                self.wrapped(&first, &" ".repeat(column), value);
            } else {
                self.wrapped("  ", "    ", &format!("{name}: {value}"));
            }
        }
    }

    fn table(&mut self, head: &[&str], rows: &[Vec<String>]) {
        let widths: Vec<usize> = (0..head.len())
            .map(|i| {
                let cells = rows.iter().map(|row| width_of(&row[i]));
                cells.chain([width_of(head[i])]).max().unwrap_or(0)
            })
            .collect();
        let said = |cells: &[String]| -> String {
            let padded = cells.iter().zip(&widths).map(|(cell, width)| {
                format!(
                    "{cell}{}",
                    " ".repeat(width.saturating_sub(width_of(cell)) + 2)
                )
            });
            format!("  {}", padded.collect::<String>())
        };
        let head: Vec<String> = head.iter().map(|cell| (*cell).to_owned()).collect();
        for row in std::iter::once(&head).chain(rows) {
            let line = said(row);
            self.line(&line);
        }
    }
}
