//! Styles and scripts, within the program. Their addresses carry their fingerprint, so that a
//! browser may keep them for ever.

use crate::present::picture::{Theme, ink};
use sha2::{Digest, Sha256};
use std::sync::LazyLock;

/// Characters of the fingerprint in an address.
const FINGERPRINT_CHARS: usize = 12;

/// One file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asset {
    /// Its name, without the fingerprint.
    pub name: &'static str,
    /// Its media type.
    pub media_type: &'static str,
    /// What it holds.
    pub text: String,
    /// Its address.
    pub href: String,
}

static ALL: LazyLock<Vec<Asset>> = LazyLock::new(|| {
    let style = [
        include_str!("desk.css"),
        include_str!("parts.css"),
        include_str!("case.css"),
        &ink::style(Theme::Auto),
    ]
    .concat();
    let script = "text/javascript; charset=utf-8";
    vec![
        asset("desk.css", "text/css; charset=utf-8", style),
        asset("desk.js", script, include_str!("desk.js").into()),
        asset("recorder.js", script, include_str!("recorder.js").into()),
        asset("upload.js", script, include_str!("upload.js").into()),
        asset("send.js", script, include_str!("send.js").into()),
        asset("progress.js", script, include_str!("progress.js").into()),
        // The same player as in the pages that are files.
        asset(
            "player.js",
            script,
            include_str!("../../present/html/page.js").into(),
        ),
        asset("mark.svg", "image/svg+xml", include_str!("mark.svg").into()),
    ]
});

fn asset(name: &'static str, media_type: &'static str, text: String) -> Asset {
    let digest = Sha256::digest(text.as_bytes());
    let fingerprint: String = digest.iter().map(|byte| format!("{byte:02x}")).collect();
    let (stem, ending) = name.rsplit_once('.').unwrap_or((name, ""));
    let href = format!(
        "/assets/{stem}.{}.{ending}",
        &fingerprint[..FINGERPRINT_CHARS]
    );
    Asset {
        name,
        media_type,
        text,
        href,
    }
}

/// Address of a file of this program by its name.
#[must_use]
pub fn href(name: &str) -> &'static str {
    (ALL.iter().find(|asset| asset.name == name)).map_or("", |asset| asset.href.as_str())
}

/// The file at an address such as `/assets/desk.0123456789ab.css`.
#[must_use]
pub fn at(path: &str) -> Option<&'static Asset> {
    ALL.iter().find(|asset| asset.href == path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_is_found_at_its_address_and_nothing_else_is() {
        for asset in ALL.iter() {
            assert_eq!(at(href(asset.name)).map(|a| a.name), Some(asset.name));
            assert!(!asset.text.is_empty());
        }
        assert_eq!(at("/assets/desk.css"), None);
        assert_eq!(at("/assets/../Cargo.toml"), None);
    }
}
