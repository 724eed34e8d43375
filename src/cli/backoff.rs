//! `tailbeat backoff`.

use super::cost::Circumstances;
use super::leaflet::{Form, Leaflet, Picture, deliver, text_of};
use super::source::Source;
use crate::backoff::marks::{self, Ladder, Mark};
use crate::backoff::report::{BackoffOptions, report};
use crate::backoff::steps::{self, Step};
use crate::backoff::{Trials, from_recording, typed};
use crate::check::{Check, CheckOptions, check_recording};
use crate::error::{Error, Result};
use crate::present::picture::Theme;
use crate::present::site::{backoff as words, backoff_picture, json};
use crate::statistics::dose_response::Link;
use crate::units::{Decibels, Hertz, Watts};
use clap::{Args, ValueEnum};
use std::path::PathBuf;
use std::process::ExitCode;

const HELP: &str = "\
Lower the signal into the repeater until it just drops (that is 0 dB), then by a step more, and let
it drop again; go on until the carrier no longer comes back by itself. Repeat each step a few times.

Examples:
  A recording with a table of its steps (columns start_s,backoff_db; negative while raising):
      tailbeat backoff test.wav --steps steps.csv
  A recording in which a DTMF digit marks each next step (a star: raising again):
      tailbeat backoff test.wav --marks digits --first 2 --step 2
  Trials typed by hand (columns backoff_db,came_back with yes or no; or backoff_db,trials,came_back):
      tailbeat backoff --trials trials.csv --hysteresis 3 --erp 50

Exit status: 0 worked out, 1 a file cannot be read, 2 something in it makes no sense.";

/// Curve of the estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Curve {
    /// Normal thresholds
    Probit,
    /// Logistic thresholds
    Logit,
}

/// What marks a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum MarkedBy {
    /// DTMF digits
    Digits,
    /// Bursts of one tone
    Tone,
}

/// What is asked.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub struct BackoffArgs {
    /// A recording of the test; `-` is standard input
    #[arg(
        value_name = "FILE",
        required_unless_present = "trials",
        conflicts_with = "trials"
    )]
    file: Option<PathBuf>,
    /// Table of the steps
    #[arg(long, value_name = "CSV", conflicts_with = "marks")]
    steps: Option<PathBuf>,
    /// What marks the steps in the recording itself, without --steps [default: digits]
    #[arg(long, value_name = "HOW", requires = "file")]
    marks: Option<MarkedBy>,
    /// Pitch of the marking tone in hertz
    #[arg(long, value_name = "HZ", default_value_t = 1000.0)]
    mark_tone: f64,
    /// Back-off from the first mark on, in dB
    #[arg(long, value_name = "DB", default_value_t = 2.0)]
    first: f64,
    /// What each further mark adds, in dB
    #[arg(long, value_name = "DB", default_value_t = 2.0)]
    step: f64,
    /// Trials typed by hand instead of a recording
    #[arg(long, value_name = "CSV", conflicts_with = "steps")]
    trials: Option<PathBuf>,
    /// Squelch hysteresis in dB, opening minus closing threshold, if you know it
    #[arg(long, value_name = "DB", allow_negative_numbers = true)]
    hysteresis: Option<f64>,
    /// Curve of the estimate
    #[arg(long, default_value = "probit")]
    curve: Curve,
    #[command(flatten)]
    circumstances: Circumstances,
    #[command(flatten)]
    form: Form,
}

/// Works it out and prints it.
pub fn run(args: &BackoffArgs) -> ExitCode {
    deliver(answer(args), &args.form)
}

fn answer(args: &BackoffArgs) -> Result<Leaflet> {
    let options = BackoffOptions {
        hysteresis: args.hysteresis.map(Decibels),
        link: match args.curve {
            Curve::Probit => Link::Probit,
            Curve::Logit => Link::Logit,
        },
        erp: args.circumstances.erp.map(Watts),
        slope: args.circumstances.slope(),
        frequency: args.circumstances.frequency(),
        target: args.circumstances.target.map(Decibels),
    };
    let result = report(trials(args)?, &options)?;
    Ok(Leaflet {
        name: "backoff",
        leaf: words::leaf(&result),
        json: json::line(&json::BackoffJson::from(&result)),
        page: None,
        pictures: vec![Picture {
            name: "steps",
            auto: backoff_picture::svg(&result, Some(Theme::Auto)),
            light: backoff_picture::svg(&result, Some(Theme::Light)),
        }],
    })
}

fn trials(args: &BackoffArgs) -> Result<Trials> {
    if let Some(table) = &args.trials {
        let (name, text) = text_of(table)?;
        return typed::read(&name, &text);
    }
    // The table first: a slip in it should not cost the time that the recording takes.
    let table = match &args.steps {
        Some(path) => {
            let (name, text) = text_of(path)?;
            Some(steps::read(&name, &text)?)
        }
        None => None,
    };
    let file = args.file.clone().unwrap_or_default();
    let recording = Source::named(&file).open()?;
    let check = check_recording(recording, &CheckOptions::default(), &mut |_| {})?;
    let steps = match table {
        Some(steps) => steps,
        None => marked(args, &check)?,
    };
    let disturbed: Vec<_> = check
        .recording
        .damage
        .iter()
        .map(|d| (d.at, d.at + d.lost))
        .collect();
    let timeline = &check.timeline;
    Ok(from_recording::trials(
        &timeline.drops.to_vec(),
        &timeline.events.to_vec(),
        &disturbed,
        &steps,
    ))
}

fn marked(args: &BackoffArgs, check: &Check) -> Result<Vec<Step>> {
    let mark = match args.marks {
        Some(MarkedBy::Tone) => Mark::Tone(Hertz(args.mark_tone)),
        _ => Mark::Digit,
    };
    let ladder = Ladder {
        first: Decibels(args.first),
        step: Decibels(args.step),
    };
    // That no mark is heard lies in the recording, not in how the command was used.
    marks::steps(&check.timeline.events.to_vec(), mark, ladder).map_err(|fault| match fault {
        Error::BadSetting { what, remedy, .. } => Error::BadFile {
            file: check.recording.name.clone(),
            what,
            remedy,
        },
        other => other,
    })
}
