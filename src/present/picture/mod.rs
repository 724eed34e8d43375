//! The timeline picture: loudness and pitch, the carrier with its events, then cycle by cycle.
//! One drawing serves the SVG file, the PNG file and the page.

mod axis;
mod close_up;
pub mod drawing;
mod gaps;
pub mod ink;
mod lane;
pub(in crate::present) mod legend;
mod marks;
pub mod raster;
pub mod sheet;
pub(in crate::present) mod skyline;
mod strip;

use crate::check::Check;
use crate::error::Result;
pub use ink::Theme;
pub use marks::Mark;
pub use sheet::Format;
pub use skyline::Bar;

/// How the picture is to be drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Options {
    /// For a page or for a telephone.
    pub format: Format,
    /// Light, dark, or as the reader's screen is.
    pub theme: Theme,
    /// Put before the names inside, so that several drawings can stand on one page.
    pub id: &'static str,
    /// Whether the drawing brings its own colours; a page that has them already needs no second
    /// copy.
    pub with_style: bool,
    /// Whether the verdict stands above; a page says it itself.
    pub with_head: bool,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            format: Format::Wide,
            theme: Theme::Auto,
            id: "w",
            with_style: true,
            with_head: true,
        }
    }
}

/// The picture as an SVG document.
#[must_use]
pub fn svg(check: &Check, options: Options) -> String {
    sheet::draw(check, options).to_svg()
}

/// The picture as a PNG image, page-wide, at twice its nominal size.
///
/// # Errors
/// The picture could not be rasterised; that is a fault of this program.
pub fn png(check: &Check, theme: Theme) -> Result<Vec<u8>> {
    let theme = if theme == Theme::Auto {
        Theme::Light
    } else {
        theme
    };
    raster::png(
        &svg(
            check,
            Options {
                theme,
                ..Options::default()
            },
        ),
        2.0,
    )
}
