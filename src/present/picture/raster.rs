//! SVG to PNG with the font that this program brings along: no font of the system is used, so
//! the same drawing gives the same dots everywhere.

use crate::error::{Error, Result};
use resvg::{tiny_skia, usvg};
use std::sync::Arc;

const REGULAR: &[u8] = include_bytes!("../fonts/inter-Regular-subset.otf");
const SEMI_BOLD: &[u8] = include_bytes!("../fonts/inter-SemiBold-subset.otf");

/// Rasterises at `scale` times the nominal size.
///
/// # Errors
/// [`Error::Limit`] where the drawing does not parse or is too large for memory.
pub fn png(svg: &str, scale: f32) -> Result<Vec<u8>> {
    let fault = |what: String| Error::Limit {
        what: format!("the picture could not be rasterised: {what}"),
        limit: "memory".into(),
        remedy: "use timeline.svg".into(),
    };
    let mut fonts = usvg::fontdb::Database::new();
    fonts.load_font_data(REGULAR.to_vec());
    fonts.load_font_data(SEMI_BOLD.to_vec());
    fonts.set_sans_serif_family("Inter");
    let options = usvg::Options {
        font_family: "Inter".into(),
        fontdb: Arc::new(fonts),
        ..usvg::Options::default()
    };
    let tree = usvg::Tree::from_str(svg, &options).map_err(|e| fault(e.to_string()))?;
    let size = tree.size();
    let (w, h) = (
        (size.width() * scale).ceil() as u32,
        (size.height() * scale).ceil() as u32,
    );
    let mut dots = tiny_skia::Pixmap::new(w, h).ok_or_else(|| fault(format!("{w} by {h} dots")))?;
    resvg::render(
        &tree,
        tiny_skia::Transform::from_scale(scale, scale),
        &mut dots.as_mut(),
    );
    dots.encode_png().map_err(|e| fault(e.to_string()))
}
