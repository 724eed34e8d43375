//! Every page of the desk, made from invented views: what the content security policy, a screen
//! reader and a telephone ask of it. With `TAILBEAT_LOOK=FOLDER` the pages are written there too.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod cases;
mod rules;
mod samples;

use std::sync::LazyLock;

/// Name and HTML of every page.
static PAGES: LazyLock<Vec<(String, String)>> = LazyLock::new(samples::all);

#[test]
fn the_pages_can_be_looked_at() {
    let Some(folder) = std::env::var_os("TAILBEAT_LOOK") else {
        return;
    };
    let folder = std::path::PathBuf::from(folder);
    std::fs::create_dir_all(&folder).unwrap();
    for (name, html) in PAGES.iter() {
        std::fs::write(folder.join(format!("{name}.html")), html).unwrap();
    }
    let sheet = tailbeat::desk::assets::at(tailbeat::desk::assets::href("desk.css")).unwrap();
    std::fs::write(folder.join("desk.css"), &sheet.text).unwrap();
}
