//! Colour for terminals: the sixteen basic colours only, so that every palette stays legible.

/// What a stretch of text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paint {
    /// The line above everything else.
    Headline,
    /// A heading.
    Heading,
    /// Bars of the beat.
    Bars,
    /// Speaks for the verdict.
    For,
    /// Speaks against it.
    Against,
    /// Of no weight.
    Quiet,
}

/// Paints, or leaves the text as it is.
#[derive(Debug, Clone, Copy)]
pub struct Pen {
    /// Whether escape sequences may be written.
    pub colour: bool,
}

impl Pen {
    /// The text, painted if that is allowed.
    #[must_use]
    pub fn paint(self, paint: Paint, text: &str) -> String {
        if !self.colour || text.is_empty() {
            return text.into();
        }
        let code = match paint {
            Paint::Headline => "1;4",
            Paint::Heading => "1",
            Paint::Bars => "36",
            Paint::For => "32",
            Paint::Against => "33",
            Paint::Quiet => "2",
        };
        format!("\u{1b}[{code}m{text}\u{1b}[0m")
    }
}
