//! `tailbeat watch`: listens for ever, and tells when the repeater begins to cycle.

mod alarm;
mod clips;
mod clock;
mod journal;
mod lines;
mod post;
mod source;
mod told;
mod view;

#[cfg(feature = "sound-card")]
mod card;

use super::console::{Colour, complain};
use super::{FAILED, USAGE, check, help, station, stop};
use crate::error::{Error, Result};
use crate::live::Watcher;
use crate::present::tables::markers::Form;
use alarm::Alarm;
use clap::{Args, ValueEnum};
use clips::Clips;
use clock::Clock;
use journal::Journal;
use source::{Arrival, Source};
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicI32, Ordering};
use told::Told;
use view::View;

/// What is asked, as typed in.
#[derive(Args)]
#[command(after_long_help = help::WATCH)]
pub struct WatchArgs {
    /// Where sound comes from: `-` for standard input, or a file or named pipe
    #[arg(value_name = "SOURCE", default_value = "-")]
    from: PathBuf,
    /// The sound is bare samples at this rate in hertz; without it, it is WAV
    #[arg(long, value_name = "HZ", requires = "format")]
    rate: Option<u32>,
    /// Form of bare samples
    #[arg(long, value_name = "FORM", requires = "rate")]
    format: Option<source::Format>,
    /// Channels of bare samples
    #[arg(long, value_name = "N", default_value_t = 1, requires = "rate",
          value_parser = clap::value_parser!(u16).range(1..=8))]
    channels: u16,
    /// Channel that carries the radio, counted from 1 [default: the mean of all]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=8))]
    channel: Option<u16>,
    /// Listen at this sound card instead (`default`, or a part of its name)
    #[cfg(feature = "sound-card")]
    #[arg(long, value_name = "NAME", conflicts_with_all = ["rate", "from"])]
    card: Option<String>,
    /// When the source ends, wait for it to come back (a named pipe whose writer went away)
    #[arg(long)]
    reopen: bool,
    /// Append every happening to this file, one line of JSON each
    #[arg(long, value_name = "FILE")]
    log: Option<PathBuf>,
    /// Keep the sound around each episode in this folder, with a marker at each drop
    #[arg(long, value_name = "DIR")]
    keep: Option<PathBuf>,
    /// Form of the kept sound
    #[arg(long, value_name = "FORM", requires = "keep", default_value = "wav")]
    keep_as: KeepAs,
    /// Keep no more than this many megabytes there; the oldest go first
    #[arg(long, value_name = "MB", requires = "keep",
          value_parser = clap::value_parser!(u64).range(1..))]
    keep_most: Option<u64>,
    /// On an alarm, run this command; it reads the alarm as JSON on its standard input
    #[arg(long, value_name = "COMMAND")]
    run: Option<String>,
    /// On an alarm, send the last two minutes of sound here, as a browser's form would
    #[arg(long, value_name = "URL")]
    post: Option<String>,
    /// The controller's hang time in seconds, if you know it
    #[arg(long, value_name = "SECONDS", value_parser = check::hang_value)]
    hang: Option<f64>,
    /// How the set listens, if you know it
    #[arg(long, value_name = "MODE")]
    mode: Option<station::Listening>,
    /// File that states what you know of the station [default: tailbeat.toml, if there is one]
    #[arg(long, value_name = "FILE")]
    config: Option<PathBuf>,
    /// When the first sample was recorded, for sound that is played back (2026-03-01T23:58:00)
    #[arg(long, value_name = "TIME")]
    began: Option<String>,
    /// When to use colour
    #[arg(long, alias = "color", value_name = "WHEN", default_value = "auto")]
    colour: Colour,
}

/// Form of kept sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum KeepAs {
    /// Plain samples, with cue markers that sound editors show
    Wav,
    /// Packed without loss, with a cue sheet and chapters; about half as long
    Flac,
}

impl From<KeepAs> for Form {
    fn from(asked: KeepAs) -> Self {
        match asked {
            KeepAs::Wav => Self::Wav,
            KeepAs::Flac => Self::Flac,
        }
    }
}

/// Watches until the source ends or somebody stops it.
pub fn run(args: WatchArgs) -> ExitCode {
    match watch(args) {
        Ok(status) => ExitCode::from(status),
        Err(fault) => {
            complain(&fault.to_string());
            ExitCode::from(match fault {
                Error::BadSetting { .. } => USAGE,
                _ => FAILED,
            })
        }
    }
}

fn watch(args: WatchArgs) -> Result<u8> {
    let mut known = station::read(args.config.as_deref())?;
    known.hang = args.hang.map(crate::units::Seconds).or(known.hang);
    known.mode = args.mode.map(Into::into).or(known.mode);
    let keep = args.keep.clone();
    let mut told = Told::new(
        Clock::new(args.began.as_deref())?,
        Journal::open(args.log.as_deref())?,
        keep.map(|dir| Clips::new(dir, args.keep_as.into(), args.keep_most))
            .transpose()?,
        Alarm::new(args.run.clone(), args.post.clone())?,
        View::new(args.colour),
    );
    let asked = Arc::new(AtomicI32::new(0));
    let ask = Arc::clone(&asked);
    stop::at_stop(move |status| ask.store(status, Ordering::Relaxed));
    let mut source = open(&args)?;
    let mut watcher = None;
    let mut samples = Vec::new();
    let status = loop {
        if asked.load(Ordering::Relaxed) != 0 {
            break asked.load(Ordering::Relaxed);
        }
        samples.clear();
        match source.next(&mut samples)? {
            Arrival::Rate(rate) => {
                told.source_back(&mut watcher, Watcher::new(rate, known));
            }
            Arrival::Samples => {
                if let Some(watcher) = &mut watcher {
                    told.hear(watcher, &samples);
                }
            }
            Arrival::Waiting => {}
            Arrival::Hangs => told.source_hangs(&mut watcher),
            Arrival::Lost(why) => told.source_lost(&mut watcher, &why),
            Arrival::End => break 0,
        }
    };
    told.end(watcher);
    Ok(u8::try_from(status).unwrap_or(FAILED))
}

fn open(args: &WatchArgs) -> Result<Source> {
    #[cfg(feature = "sound-card")]
    if let Some(name) = &args.card {
        return Ok(Source::from_card(card::Card::open(name, args.channel)?));
    }
    let bare = match (args.rate, args.format) {
        (Some(rate), Some(format)) => Some(source::Bare::new(rate, format, args.channels)?),
        _ => None,
    };
    Source::from_stream(&args.from, bare, args.channel, args.reopen)
}
