//! `tailbeat check FILE...`.

use super::console::{self, Colour, Said, complain, say, say_by};
use super::in_order::{in_order, threads};
use super::progress::Progress;
use super::source::{STDIN, Source};
use super::{FAILED, USAGE, help, outputs, station};
use crate::check::{Check, CheckOptions, Share, check_on};
use crate::error::{Error, Result};
use crate::present::json;
use crate::present::text::{self, Style};
use clap::Args;
use std::collections::BTreeSet;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// What is asked, as typed in.
#[derive(Args)]
#[command(after_long_help = help::CHECK)]
pub struct CheckArgs {
    /// Recordings of a repeater's output, in any usual format; `-` is standard input
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// One JSON object a recording instead of text
    #[arg(long)]
    json: bool,
    /// Write pictures, tables and a page into this folder (several recordings: a folder each)
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// The files (or folders) are the clips of one voice-activated recorder: put them together
    #[arg(long)]
    clips: bool,
    /// Into --out, write also a WAV copy with a marker at each event
    #[arg(long, requires = "out")]
    markers: bool,
    /// The controller's hang time in seconds, if you know it
    #[arg(long, value_name = "SECONDS", value_parser = hang_value)]
    hang: Option<f64>,
    /// How the recording was made, if you know it
    #[arg(long, value_name = "MODE")]
    mode: Option<station::Listening>,
    /// File that states what you know of the station [default: tailbeat.toml, if there is one]
    #[arg(long, value_name = "FILE")]
    config: Option<PathBuf>,
    /// Threads: recordings worked on at a time, and on a single one by so many [default: as many as there are cores]
    #[arg(
        short,
        long,
        value_name = "N",
        default_value_t = 0,
        hide_default_value = true
    )]
    jobs: usize,
    /// When to use colour
    #[arg(long, alias = "color", value_name = "WHEN", default_value = "auto")]
    colour: Colour,
}

/// A hang time as typed in.
pub fn hang_value(text: &str) -> std::result::Result<f64, String> {
    let seconds: f64 = text
        .parse()
        .map_err(|_| "it is a number of seconds".to_string())?;
    station::hang(seconds).map(|s| s.get())
}

/// What is to be done, resolved.
struct Plan {
    items: Vec<Item>,
    known: CheckOptions,
    form: Form,
    markers: bool,
    jobs: usize,
}

impl Plan {
    /// Threads for each recording: those that would have none of their own to work on.
    fn threads_each(&self) -> usize {
        threads(self.jobs) / self.items.len().max(1)
    }
}

struct Item {
    source: Source,
    out: Option<PathBuf>,
}

#[derive(Clone, Copy)]
enum Form {
    Text(Style),
    Json,
}

/// Checks the recordings and prints the results in the given order.
pub fn run(args: CheckArgs) -> ExitCode {
    let plan = match resolve(args) {
        Ok(plan) => plan,
        Err(fault) => {
            complain(&fault.to_string());
            return ExitCode::from(USAGE);
        }
    };
    let progress = Progress::new(plan.items.len());
    let several = plan.items.len() > 1;
    let (mut failed, mut first) = (false, true);
    let worked = in_order(
        &plan.items,
        plan.jobs,
        |item| one(item, &plan, &progress),
        |item, result| {
            failed |= result.is_err();
            let said = progress.aside(|| print(item, result, plan.form, several, first));
            first &= said.is_none();
            match said {
                Some(Said::Closed) => ControlFlow::Break(()),
                Some(Said::Failed) => {
                    failed = true;
                    ControlFlow::Break(())
                }
                Some(Said::Out) | None => ControlFlow::Continue(()),
            }
        },
    );
    progress.finish();
    if let Err(fault) = worked {
        complain(&fault.to_string());
        failed = true;
    }
    if failed {
        ExitCode::from(FAILED)
    } else {
        ExitCode::SUCCESS
    }
}

/// From what was typed in to what is to be done.
fn resolve(args: CheckArgs) -> Result<Plan> {
    let from_input = args.files.iter().filter(|f| f.as_os_str() == STDIN).count();
    let misuse = |what: &str, remedy: &str| Error::BadSetting {
        place: STDIN.into(),
        what: what.into(),
        remedy: remedy.into(),
    };
    if from_input > 1 {
        return Err(misuse(
            "standard input is named more than once",
            "name it once",
        ));
    }
    if from_input > 0 && args.clips {
        return Err(misuse(
            "standard input cannot be one of several clips",
            "name the clips' files or their folder",
        ));
    }
    let mut known = station::read(args.config.as_deref())?;
    known.hang = args.hang.map(crate::units::Seconds).or(known.hang);
    known.mode = args.mode.map(Into::into).or(known.mode);
    let style = Style {
        width: console::width(),
        colour: console::painted(args.colour),
    };
    let items = if args.clips {
        vec![Item {
            source: Source::Clips(args.files),
            out: args.out,
        }]
    } else {
        let folders = folders(&args.files, args.out.as_deref());
        (args.files.iter().zip(folders))
            .map(|(file, out)| Item {
                source: Source::named(file),
                out,
            })
            .collect()
    };
    Ok(Plan {
        items,
        known,
        form: if args.json {
            Form::Json
        } else {
            Form::Text(style)
        },
        markers: args.markers,
        jobs: args.jobs,
    })
}

/// Where the files of each recording go: into the folder itself for one; for several, into one
/// named after each, numbered where two share a name.
fn folders(files: &[PathBuf], out: Option<&Path>) -> Vec<Option<PathBuf>> {
    let Some(out) = out else {
        return vec![None; files.len()];
    };
    if files.len() == 1 {
        return vec![Some(out.into())];
    }
    let mut taken = BTreeSet::new();
    (files.iter())
        .map(|file| {
            let name = match file.file_name() {
                Some(name) if file.as_os_str() != STDIN => name.to_string_lossy().into_owned(),
                _ => "standard-input".into(),
            };
            let numbered = (1..).map(|n| {
                if n == 1 {
                    name.clone()
                } else {
                    format!("{name}-{n}")
                }
            });
            numbered
                .into_iter()
                .find(|name| taken.insert(name.clone()))
                .map(|n| out.join(n))
        })
        .collect()
}

/// Checks one recording and writes its files.
fn one(item: &Item, plan: &Plan, progress: &Progress) -> Result<Check> {
    let mut share = progress.one();
    let result = item
        .source
        .open()
        .and_then(|recording| check_on(plan.threads_each(), recording, &plan.known, &mut share))
        .and_then(|check| {
            if let Some(dir) = &item.out {
                outputs::write(&item.source, &check, dir, plan.markers)?;
            }
            Ok(check)
        });
    share(Share::ALL);
    result
}

/// Prints one result; `None` where there was nothing to print on standard output.
fn print(
    item: &Item,
    result: Result<Check>,
    form: Form,
    several: bool,
    first: bool,
) -> Option<Said> {
    match (result, form) {
        (Ok(check), Form::Json) => Some(say_by(|out| {
            json::write_check(&check, &mut *out)?;
            out.write_all(b"\n")
        })),
        (Ok(check), Form::Text(style)) => {
            let rule = if first {
                String::new()
            } else {
                format!("\n{}\n\n", "=".repeat(40))
            };
            Some(say(
                format!("{rule}{}", text::render(&check, style)).as_bytes()
            ))
        }
        (Err(fault), Form::Json) if several => {
            complain(&fault.to_string());
            let line = json::error(&item.source.name(), &fault);
            Some(say(format!("{line}\n").as_bytes()))
        }
        (Err(fault), _) => {
            complain(&fault.to_string());
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn recordings_of_one_name_get_folders_of_their_own() {
        let files = ["a/x.wav", "b/x.wav", "y.wav", "-"].map(PathBuf::from);
        let made: Vec<String> = folders(&files, Some(Path::new("out")))
            .into_iter()
            .map(|dir| dir.unwrap().to_string_lossy().replace('\\', "/"))
            .collect();
        assert_eq!(
            made,
            [
                "out/x.wav",
                "out/x.wav-2",
                "out/y.wav",
                "out/standard-input"
            ]
        );
        assert_eq!(
            folders(&files[..1], Some(Path::new("out"))),
            [Some(PathBuf::from("out"))]
        );
        assert_eq!(folders(&files[..1], None), [None]);
    }
}
