//! What the commands of the station's side share: how their result is asked for and given out.

use super::console::{self, Colour, Said, complain, say};
use super::source::STDIN;
use super::{FAILED, USAGE};
use crate::error::{Error, Result};
use crate::present::picture::raster;
use crate::present::site::leaf::Leaf;
use crate::present::text::Style;
use clap::Args;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// How the result is wanted.
#[derive(Args)]
pub struct Form {
    /// One JSON object instead of text
    #[arg(long)]
    json: bool,
    /// Write JSON, a page and pictures into this folder
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// When to use colour
    #[arg(long, alias = "color", value_name = "WHEN", default_value = "auto")]
    colour: Colour,
}

/// A result in all its forms.
pub struct Leaflet {
    /// First part of its files' names.
    pub name: &'static str,
    /// For people.
    pub leaf: Leaf,
    /// For programs, without a line feed.
    pub json: String,
    /// The page's name and bytes, where it is another than that of the leaf.
    pub page: Option<(&'static str, String)>,
    /// Pictures by name: as SVG that follows the reader's screen, and in light colours.
    pub pictures: Vec<Picture>,
}

/// A picture in both forms.
pub struct Picture {
    /// First part of its files' names.
    pub name: &'static str,
    /// Follows the reader's screen.
    pub auto: String,
    /// In light colours.
    pub light: String,
}

/// Dots of the PNG per dot of the drawing.
pub const SCALE: f32 = 2.0;

/// Gives the result out. Settings that make no sense are wrong usage.
pub fn deliver(result: Result<Leaflet>, form: &Form) -> ExitCode {
    let written = result.and_then(|leaflet| {
        if let Some(dir) = &form.out {
            write(&leaflet, dir)?;
        }
        Ok(leaflet)
    });
    match written {
        Ok(leaflet) => print(&leaflet.leaf, &leaflet.json, form),
        Err(fault) => refuse(&fault),
    }
}

/// Prints a result as text or as JSON.
pub fn print(leaf: &Leaf, json: &str, form: &Form) -> ExitCode {
    let said = if form.json {
        say(format!("{json}\n").as_bytes())
    } else {
        let style = Style {
            width: console::width(),
            colour: console::painted(form.colour),
        };
        say(leaf.text(style).as_bytes())
    };
    match said {
        Said::Out | Said::Closed => ExitCode::SUCCESS,
        Said::Failed => ExitCode::from(FAILED),
    }
}

/// Complains; settings that make no sense are wrong usage.
pub fn refuse(fault: &Error) -> ExitCode {
    complain(&fault.to_string());
    ExitCode::from(if matches!(fault, Error::BadSetting { .. }) {
        USAGE
    } else {
        FAILED
    })
}

fn write(leaflet: &Leaflet, dir: &Path) -> Result<()> {
    std::fs::create_dir_all(dir).map_err(|f| Error::io(dir.display().to_string(), f))?;
    let put = |name: String, bytes: &[u8]| {
        let path = dir.join(name);
        std::fs::write(&path, bytes).map_err(|f| Error::io(path.display().to_string(), f))
    };
    put(
        format!("{}.json", leaflet.name),
        format!("{}\n", leaflet.json).as_bytes(),
    )?;
    let (name, page) = match &leaflet.page {
        Some((name, page)) => ((*name).to_owned(), page.clone()),
        None => (format!("{}.html", leaflet.name), leaflet.leaf.page()),
    };
    put(name, page.as_bytes())?;
    for picture in &leaflet.pictures {
        put(format!("{}.svg", picture.name), picture.auto.as_bytes())?;
        put(
            format!("{}.png", picture.name),
            &raster::png(&picture.light, SCALE)?,
        )?;
    }
    Ok(())
}

/// A file's text; `-` is standard input.
///
/// # Errors
/// It cannot be read, or is no text in UTF-8.
pub fn text_of(path: &Path) -> Result<(String, String)> {
    let name = path.display().to_string();
    let mut bytes = Vec::new();
    let read = if path.as_os_str() == STDIN {
        std::io::stdin().lock().read_to_end(&mut bytes).map(drop)
    } else {
        std::fs::read(path).map(|read| bytes = read)
    };
    read.map_err(|fault| Error::io(&name, fault))?;
    let text = String::from_utf8(bytes).map_err(|_| Error::BadFile {
        file: name.clone(),
        what: "this is no text in UTF-8".into(),
        remedy: "save it as plain text in UTF-8".into(),
    })?;
    Ok((name, text))
}
