//! What every page is put in: its head, the common styles, and no file beside it.

use crate::present::numbers::plain;
use crate::present::picture::{Theme, ink};
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// A whole page. `style` comes after the styles that all pages share.
pub fn page(title: &str, style: &str, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (plain(title)) }
                style {
                    (PreEscaped(include_str!("page.css")))
                    (PreEscaped(ink::style(Theme::Auto)))
                    (PreEscaped(style))
                }
            }
            body { (body) }
        }
    };
    page.into_string()
}
