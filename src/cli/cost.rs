//! `tailbeat cost DB`.

use super::leaflet::{Form, Leaflet, deliver};
use crate::error::Result;
use crate::present::site::{cost as words, json};
use crate::site::cost::{CostQuestion, Slope, cost};
use crate::units::{Decibels, Hertz, Metres, Watts};
use clap::Args;
use std::process::ExitCode;

const HELP: &str = "\
Examples:
  What do 6 dB of desense cost, and what would it take to come down to 1 dB?
      tailbeat cost 6 --target 1
  Who got in with 50 W needs how much now, the repeater's antenna being 40 m up?
      tailbeat cost 6 --erp 50 --antenna-height 40

Exit status: 0 worked out, 2 a number that makes no sense.";

/// What the reckoning of costs needs, here and in the stepped test.
#[derive(Args)]
pub struct Circumstances {
    /// Radiated power with which a user got in before, in watts
    #[arg(long, allow_negative_numbers = true, value_name = "WATTS")]
    pub erp: Option<f64>,
    /// Path-loss exponent [default: 3.5]
    #[arg(
        long,
        allow_negative_numbers = true,
        value_name = "N",
        conflicts_with = "antenna_height"
    )]
    pub exponent: Option<f64>,
    /// Height of the repeater's antenna in metres; the exponent then follows Hata's slope
    #[arg(long, allow_negative_numbers = true, value_name = "METRES")]
    pub antenna_height: Option<f64>,
    /// Frequency in MHz, to tell whether Hata's slope holds there
    #[arg(long, allow_negative_numbers = true, value_name = "MHZ")]
    pub mhz: Option<f64>,
    /// Desense that you would put up with, in dB: tells the isolation missing
    #[arg(long, allow_negative_numbers = true, value_name = "DB")]
    pub target: Option<f64>,
}

impl Circumstances {
    /// Where the exponent comes from.
    pub fn slope(&self) -> Slope {
        match (self.exponent, self.antenna_height) {
            (Some(n), _) => Slope::Stated(n),
            (None, Some(height)) => Slope::Antenna(Metres(height)),
            (None, None) => Slope::Usual,
        }
    }

    /// Frequency in hertz.
    pub fn frequency(&self) -> Option<Hertz> {
        self.mhz.map(|mhz| Hertz(mhz * 1e6))
    }
}

/// What is asked.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub struct CostArgs {
    /// The desense in dB
    #[arg(value_name = "DB", allow_negative_numbers = true)]
    desense: f64,
    #[command(flatten)]
    circumstances: Circumstances,
    #[command(flatten)]
    form: Form,
}

/// Works it out and prints it.
pub fn run(args: &CostArgs) -> ExitCode {
    deliver(answer(args), &args.form)
}

fn answer(args: &CostArgs) -> Result<Leaflet> {
    let answer = cost(CostQuestion {
        desense: Decibels(args.desense),
        erp: args.circumstances.erp.map(Watts),
        slope: args.circumstances.slope(),
        frequency: args.circumstances.frequency(),
        target: args.circumstances.target.map(Decibels),
    })?;
    Ok(Leaflet {
        name: "cost",
        leaf: words::leaf(&answer),
        json: json::line(&json::CostJson::from(&answer)),
        page: None,
        pictures: Vec::new(),
    })
}
