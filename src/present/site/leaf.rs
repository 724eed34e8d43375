//! A result as a short document: a headline, a paragraph, and parts.

use crate::present::text::Style;
use crate::present::wording::cautions::Caution;

/// The document.
#[derive(Debug, Clone, PartialEq)]
pub struct Leaf {
    /// What it is, above the headline.
    pub kicker: &'static str,
    /// The answer in one line.
    pub headline: String,
    /// The answer in a few sentences.
    pub paragraph: String,
    /// Cautions that stand before everything else that could be done.
    pub cautions: Vec<Caution>,
    /// The rest.
    pub parts: Vec<Part>,
}

/// One part.
#[derive(Debug, Clone, PartialEq)]
pub enum Part {
    /// Names and values.
    Figures(&'static str, Vec<(String, String)>),
    /// Points.
    List(&'static str, Vec<String>),
    /// A paragraph.
    Words(&'static str, String),
    /// Steps that branch: depth and words.
    Steps(&'static str, Vec<(usize, String)>),
    /// A table.
    Table(&'static str, Vec<&'static str>, Vec<Vec<String>>),
    /// A picture, in pages only.
    Picture {
        /// Heading.
        heading: &'static str,
        /// SVG without colours of its own.
        svg: String,
        /// The same for a telephone, where that is another drawing; else the wide one is moved
        /// to and fro.
        narrow: Option<String>,
    },
}

impl Leaf {
    /// As text for a terminal, ending in a line feed.
    #[must_use]
    pub fn text(&self, style: Style) -> String {
        super::leaf_text::render(self, style)
    }

    /// As one self-contained page.
    #[must_use]
    pub fn page(&self) -> String {
        super::leaf_page::render(self)
    }
}
