//! A check for a terminal. Words and marks carry the meaning; colour only underlines it.

pub(crate) mod paint;
mod skyline;
pub(crate) mod wrap;

use crate::check::Check;
use crate::present::numbers::{percent, plain};
use crate::present::story::{Story, tell};
use crate::present::wording::evidence::Weight;
use crate::present::wording::{page as words, picture};
use paint::{Paint, Pen};
use wrap::{hanging, width_of};

/// How the text is to be laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Style {
    /// Columns of the terminal; below 40, 40 are used.
    pub width: usize,
    /// Whether escape sequences for colour may be written.
    pub colour: bool,
}

/// Narrowest sensible layout.
const MIN_WIDTH: usize = 40;
/// Longer lines are hard to read.
const MAX_WIDTH: usize = 96;
/// Causes below this are not listed.
const LISTED_CAUSE: f64 = 0.005;

/// The whole result as text, ending in a line feed.
#[must_use]
pub fn render(check: &Check, style: Style) -> String {
    let width = style.width.clamp(MIN_WIDTH, MAX_WIDTH);
    let pen = Pen {
        colour: style.colour,
    };
    let story = tell(check);
    let mut page = Page {
        out: String::new(),
        width,
        pen,
    };
    page.head(check, &story);
    page.beat(check);
    page.figures(&story);
    page.evidence(&story);
    page.list(words::DOUBTS, &story.doubts);
    page.paragraph(words::NEXT_STEP, story.next_step);
    page.cautions(&story);
    plain(&page.out)
}

struct Page {
    out: String,
    width: usize,
    pen: Pen,
}

impl Page {
    fn line(&mut self, text: &str) {
        self.out.push_str(text.trim_end());
        self.out.push('\n');
    }

    fn heading(&mut self, text: &str) {
        self.line("");
        self.painted(Paint::Heading, text);
    }

    fn painted(&mut self, paint: Paint, text: &str) {
        for line in hanging("", "", text, self.width) {
            let painted = self.pen.paint(paint, &line);
            self.line(&painted);
        }
    }

    fn wrapped(&mut self, first: &str, rest: &str, text: &str) {
        for line in hanging(first, rest, text, self.width) {
            self.line(&line);
        }
    }

    fn paragraph(&mut self, heading: &str, text: &str) {
        self.heading(heading);
        self.wrapped("  ", "  ", text);
    }

    fn list(&mut self, heading: &str, items: &[String]) {
        if !items.is_empty() {
            self.heading(heading);
        }
        for item in items {
            self.wrapped("  * ", "    ", item);
        }
    }

    fn head(&mut self, check: &Check, story: &Story) {
        let name = visible(&check.recording.name);
        self.wrapped("", "  ", &format!("{name}: {}", visible(&story.recording)));
        self.line("");
        let headline = format!("{}.", story.headline);
        self.painted(Paint::Headline, &headline);
        let sure = format!("Verdict: {}, {}.", story.trade_word, story.certainty);
        self.wrapped("", "", &sure);
        self.line("");
        self.wrapped("", "", &story.paragraph);
    }

    fn beat(&mut self, check: &Check) {
        let Some(skyline) = skyline::draw(check, self.width - 2) else {
            return;
        };
        self.heading(picture::CYCLES);
        for row in &skyline.rows {
            let painted = self.pen.paint(Paint::Bars, row);
            self.line(&format!("  {painted}"));
        }
        self.wrapped("  ", "  ", &skyline.caption);
    }

    fn figures(&mut self, story: &Story) {
        self.heading(words::FIGURES);
        let column = story
            .figures
            .iter()
            .map(|f| width_of(f.name))
            .max()
            .unwrap_or(0)
            + 4;
        let beside = column + 24 <= self.width;
        for figure in &story.figures {
            let pad = column - 2 - width_of(figure.name);
            if beside {
                let first = format!("  {}{}", figure.name, " ".repeat(pad));
                self.wrapped(&first, &" ".repeat(column), &figure.value);
            } else {
                self.wrapped("  ", "    ", &format!("{}: {}", figure.name, figure.value));
            }
        }
        self.list(words::EPISODES, &story.episodes);
    }

    fn evidence(&mut self, story: &Story) {
        if !story.evidence.is_empty() {
            self.heading(story.evidence_heading);
            self.wrapped("  ", "  ", words::EVIDENCE_SIGNS);
        }
        for item in &story.evidence {
            let paint = match item.weight {
                Weight::HeavyFor | Weight::ClearFor | Weight::HintFor => Paint::For,
                Weight::Undecided => Paint::Quiet,
                _ => Paint::Against,
            };
            let mark = self.pen.paint(paint, item.weight.mark());
            let mut lines = hanging("      ", "      ", &item.text, self.width).into_iter();
            if let Some(first) = lines.next() {
                self.line(&format!("  {mark} {}", first.trim_start()));
            }
            for line in lines {
                self.line(&line);
            }
        }
        if !story.undecided.is_empty() {
            self.wrapped(
                "      ",
                "      ",
                &format!("{}.", words::undecided(story.undecided.len())),
            );
        }
        let listed: Vec<String> = (story.causes.iter())
            .filter(|(_, p)| *p >= LISTED_CAUSE)
            .map(|(name, p)| format!("{} {name}", percent(*p)))
            .collect();
        self.list(words::CAUSES, &listed);
    }

    fn cautions(&mut self, story: &Story) {
        if !story.cautions.is_empty() {
            self.heading(words::CAUTIONS);
        }
        for caution in &story.cautions {
            self.wrapped(
                "  ! ",
                "    ",
                &format!("{} [{}]", caution.text, caution.source),
            );
        }
    }
}

/// A name from outside with its control characters made visible, so that it cannot drive the
/// terminal.
fn visible(name: &str) -> String {
    name.chars()
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect()
}
