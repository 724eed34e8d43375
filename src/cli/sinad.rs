//! `tailbeat sinad FILE`.

use super::leaflet::{Form, Leaflet, deliver};
use super::source::Source;
use crate::error::{Error, Result};
use crate::present::site::{json, sinad as words};
use crate::site::sinad::{Band, SinadQuestion, Span, Weighting, measure_quieting, measure_sinad};
use crate::units::{Hertz, Instant};
use clap::{Args, ValueEnum};
use std::path::PathBuf;
use std::process::ExitCode;

const HELP: &str = "\
Examples:
  SINAD of a recorded 1 kHz tone:
      tailbeat sinad tone.wav
  From 5 s to 15 s only, weighted as on the telephone:
      tailbeat sinad tone.wav --part 5-15 --weighting telephone
  Quieting: open hiss for the first ten seconds, then an unmodulated carrier:
      tailbeat sinad noise.wav --hiss 0-10 --carrier 12-22

Exit status: 0 measured; 1 the recording cannot be read, or holds no such tone or stretch; 2 wrong
usage.";

/// How frequencies count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Weigh {
    /// All alike
    Flat,
    /// ITU-T O.41, as a telephone user hears
    Telephone,
}

/// What is asked.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub struct SinadArgs {
    /// A recording; `-` is standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Pitch of the test tone in hertz
    #[arg(long, value_name = "HZ", default_value_t = 1000.0)]
    tone: f64,
    /// Band in which powers are taken, in hertz
    #[arg(long, value_name = "LOW-HIGH", default_value = "300-3000", value_parser = pair)]
    band: (f64, f64),
    /// How frequencies count
    #[arg(long, default_value = "flat")]
    weighting: Weigh,
    /// Only this stretch of the recording, in seconds
    #[arg(long, value_name = "FROM-TO", value_parser = pair, conflicts_with = "hiss")]
    part: Option<(f64, f64)>,
    /// For quieting: where the hiss without a carrier is, in seconds
    #[arg(long, value_name = "FROM-TO", value_parser = pair, requires = "carrier")]
    hiss: Option<(f64, f64)>,
    /// For quieting: where the unmodulated carrier is, in seconds
    #[arg(long, value_name = "FROM-TO", value_parser = pair, requires = "hiss")]
    carrier: Option<(f64, f64)>,
    #[command(flatten)]
    form: Form,
}

fn pair(text: &str) -> std::result::Result<(f64, f64), String> {
    let numbers = text.split_once('-').and_then(|(low, high)| {
        Some((
            low.trim().parse::<f64>().ok()?,
            high.trim().parse::<f64>().ok()?,
        ))
    });
    match numbers {
        Some((low, high)) if low >= 0.0 && high > low && high.is_finite() => Ok((low, high)),
        _ => Err("write two numbers, the smaller first, such as 5-15".into()),
    }
}

/// Measures and prints.
pub fn run(args: &SinadArgs) -> ExitCode {
    deliver(answer(args), &args.form)
}

fn answer(args: &SinadArgs) -> Result<Leaflet> {
    let source = Source::named(&args.file);
    let mut recording = source.open()?;
    let band = Band {
        low: Hertz(args.band.0),
        high: Hertz(args.band.1),
    };
    let weighting = match args.weighting {
        Weigh::Flat => Weighting::Flat,
        Weigh::Telephone => Weighting::Telephone,
    };
    let span = |(from, to): (f64, f64)| Span {
        from: Instant(from),
        to: Instant(to),
    };
    // The measurement knows no file; say which one it was.
    let named = |fault: Error| match fault {
        Error::BadSetting {
            place,
            what,
            remedy,
        } => Error::BadFile {
            file: format!("{}, {place}", source.name()),
            what,
            remedy,
        },
        other => other,
    };
    let (leaf, json) = if let (Some(hiss), Some(carrier)) = (args.hiss, args.carrier) {
        let result = measure_quieting(
            recording.as_mut(),
            band,
            weighting,
            span(hiss),
            span(carrier),
        )
        .map_err(named)?;
        (
            words::quieting(&result),
            json::line(&json::QuietingJson::from(&result)),
        )
    } else {
        let question = SinadQuestion {
            tone: Hertz(args.tone),
            band,
            weighting,
            span: args.part.map_or(Span::ALL, span),
        };
        let result = measure_sinad(recording.as_mut(), &question).map_err(named)?;
        (
            words::sinad(&result),
            json::line(&json::SinadJson::from(&result)),
        )
    };
    Ok(Leaflet {
        name: "sinad",
        leaf,
        json,
        page: None,
        pictures: Vec::new(),
    })
}
