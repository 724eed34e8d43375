//! The audio player with its captions.

use super::Sound;
use crate::check::Check;
use crate::present::tables::vtt;
use crate::present::wording::page as words;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{Markup, html};

/// The player, or why there is none.
pub fn player(check: &Check, sound: Sound<'_>) -> Markup {
    let source = match sound {
        Sound::None => return html! { p.quiet { (words::WITHOUT_SOUND) } },
        Sound::Embedded { media_type, bytes } => {
            format!("data:{media_type};base64,{}", STANDARD.encode(bytes))
        }
        Sound::Linked { path } => percent_encode(path),
    };
    let captions = format!(
        "data:text/vtt;base64,{}",
        STANDARD.encode(vtt::render(check))
    );
    html! {
        div.player {
            audio controls preload="metadata" src=(source) {
                track kind="captions" srclang="en" label="events" default src=(captions);
            }
            p.now aria-live="polite" {}
            p.quiet.click { (words::CLICK) }
            p.quiet.failed hidden { (words::NO_SOUND) }
        }
    }
}

/// A relative path as a URL: everything but unreserved characters and `/` is encoded, so that no
/// name can be taken for a scheme, a query or a fragment.
fn percent_encode(path: &str) -> String {
    let mut url = String::new();
    for byte in path.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => {
                url.push(byte as char);
            }
            _ => url += &format!("%{byte:02X}"),
        }
    }
    url
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_name_cannot_become_a_scheme_or_a_query() {
        assert_eq!(
            percent_encode("../a b/javascript:x?y#z.wav"),
            "../a%20b/javascript%3Ax%3Fy%23z.wav"
        );
        assert_eq!(percent_encode("線.wav"), "%E7%B7%9A.wav");
    }
}
