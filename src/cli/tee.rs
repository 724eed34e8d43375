//! `tailbeat tee WORKSHEET`.

use super::leaflet::{Form, Leaflet, Picture, deliver, text_of};
use crate::error::Result;
use crate::present::picture::Theme;
use crate::present::site::{json, tee as words, tee_picture};
use crate::site::tee::analyse;
use crate::site::tee::read::{criterion, read_csv, read_toml};
use clap::Args;
use std::path::PathBuf;
use std::process::ExitCode;

const HELP: &str = "\
The worksheet, as TOML:
      criterion = \"12 dB SINAD\"      # or 20 dB quieting, the same for all
      unit = \"dBm\"                   # or uV, across 50 ohm
      tee_loss_db = 30.5
      load_off = [-88.6, -88.4]      # load, transmitter off: the bare receiver
      antenna_off = [-85.5, -85.3]   # antenna, transmitter off
      load_on = [-88.1, -87.9]       # load, transmitter on
      antenna_on = [-79.4, -79.8]    # antenna, transmitter on
or as CSV with the columns state,level,unit, one reading a row. Read every level twice or three
times: the figures then come with an interval.

Exit status: 0 worked out, 1 the file cannot be read, 2 something in it makes no sense.";

/// What is asked.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub struct TeeArgs {
    /// Worksheet, TOML or (name ending in .csv) CSV; `-` is TOML from standard input
    #[arg(value_name = "WORKSHEET")]
    file: PathBuf,
    /// For CSV: what the generator was set for
    #[arg(long, value_name = "NAME", default_value = "12 dB SINAD")]
    criterion: String,
    /// For CSV: loss from generator to receiver in dB
    #[arg(long, value_name = "DB", allow_negative_numbers = true)]
    tee_loss: Option<f64>,
    #[command(flatten)]
    form: Form,
}

/// Works it out and prints it.
pub fn run(args: &TeeArgs) -> ExitCode {
    deliver(answer(args), &args.form)
}

fn answer(args: &TeeArgs) -> Result<Leaflet> {
    let (name, text) = text_of(&args.file)?;
    let is_csv = args
        .file
        .extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("csv"));
    let sheet = if is_csv {
        read_csv(
            &name,
            &text,
            criterion(&args.criterion, "--criterion")?,
            args.tee_loss,
        )?
    } else {
        read_toml(&name, &text)?
    };
    let result = analyse(&sheet)?;
    let picture = result.shares.map(|shares| Picture {
        name: "noise",
        auto: tee_picture::shares(shares, Some(Theme::Auto)),
        light: tee_picture::shares(shares, Some(Theme::Light)),
    });
    Ok(Leaflet {
        name: "tee",
        leaf: words::leaf(&result, sheet.criterion),
        json: json::line(&json::TeeJson::from(&result)),
        page: None,
        pictures: picture.into_iter().collect(),
    })
}
