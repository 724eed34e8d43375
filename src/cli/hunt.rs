//! `tailbeat hunt SITE.toml`.

use super::leaflet::{Form, Leaflet, Picture, deliver, text_of};
use crate::error::{Error, Result};
use crate::present::picture::Theme;
use crate::present::site::{belief_picture, hunt as words, json, tree_picture};
use crate::site::chain::hunt::{Hunt, hunt};
use crate::site::chain::read::{find, read};
use crate::site::chain::station::{Station, TestResult};
use clap::Args;
use std::path::PathBuf;
use std::process::ExitCode;

const HELP: &str = "\
The site file lists the sections from the sets outwards:
      rigger_call = 600              # money, in your own currency
      hour_worth = 20                # what an hour of your time is set against it
      shows = 0.3                    # only for a fault that comes and goes: chance to see it
      [[receive]]
      name = \"receiver\"
      kind = \"receiver\"
      [[transmit]]
      name = \"jumper 1\"
      kind = \"jumper\"
      minutes = 10                   # to put the load on its outer end
      [[transmit]]
      name = \"feed line\"
      kind = \"feed_line\"
      rigger = true
      [[result]]                     # as you go
      load_after = \"jumper 1\"
      desense = \"gone\"               # or stays
      date = 2031-05-04
Kinds: receiver, preamplifier, transmitter, jumper, connector, isolator, filter, duplexer, switch,
arrestor, feed_line, top_jumper, antenna, other. `test = false` marks a place where no load can go.

Examples:
      tailbeat hunt site.toml
      tailbeat hunt site.toml --gone \"jumper 1\" --out plan

Exit status: 0 planned, 1 the file cannot be read, 2 something in it makes no sense.";

/// What is asked.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub struct HuntArgs {
    /// The site file; `-` is standard input
    #[arg(value_name = "SITE")]
    file: PathBuf,
    /// A further result: with the load after this section the desense stays
    #[arg(long, value_name = "SECTION")]
    stays: Vec<String>,
    /// A further result: with the load after this section the desense is gone
    #[arg(long, value_name = "SECTION")]
    gone: Vec<String>,
    #[command(flatten)]
    form: Form,
}

/// Plans and prints.
pub fn run(args: &HuntArgs) -> ExitCode {
    deliver(answer(args), &args.form)
}

fn answer(args: &HuntArgs) -> Result<Leaflet> {
    let (name, text) = text_of(&args.file)?;
    let mut station = read(&name, &text)?;
    for (flag, names, stays) in [
        ("--stays", &args.stays, true),
        ("--gone", &args.gone, false),
    ] {
        for section in names {
            add(&mut station, flag, section, stays)?;
        }
    }
    let planned = hunt(&station);
    let picture = |name, draw: fn(&Hunt, Option<Theme>) -> String| Picture {
        name,
        auto: draw(&planned, Some(Theme::Auto)),
        light: draw(&planned, Some(Theme::Light)),
    };
    Ok(Leaflet {
        name: "hunt",
        leaf: words::leaf(&planned),
        json: json::line(&json::HuntJson::from(&planned)),
        page: None,
        pictures: vec![
            picture("plan", tree_picture::svg),
            picture("belief", belief_picture::svg),
        ],
    })
}

fn add(station: &mut Station, flag: &str, section: &str, stays: bool) -> Result<()> {
    let after = find(&station.sections, section).ok_or_else(|| {
        let names: Vec<&str> = station.sections.iter().map(|s| s.name.as_str()).collect();
        Error::BadSetting {
            place: flag.into(),
            what: format!("there is no section \"{section}\""),
            remedy: format!("name one of: {}", names.join(", ")),
        }
    })?;
    station.results.push(TestResult {
        after,
        stays,
        looks: station.looks,
        date: None,
    });
    Ok(())
}
