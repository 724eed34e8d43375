//! `tailbeat batch WHAT...`: an archive, on all cores, and on again where it was cut short.

mod find;
mod hear;
mod join;
mod meter;
mod outputs;
mod remote;
mod results;

pub(super) use find::sounding;

use super::console::{self, Colour, Said, complain, say};
use super::in_order::as_done;
use super::{FAILED, USAGE, help, station, stop};
use crate::check::{CheckOptions, Share};
use crate::error::{Error, Result};
use crate::present::archive::BatchJson;
use crate::present::text::Style;
use clap::Args;
use find::{Findings, Naming};
use hear::{Job, Tools};
use meter::Meter;
use remote::Stores;
use results::Results;
use std::collections::BTreeSet;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::TryLockError::WouldBlock;
use std::sync::{Arc, Mutex, PoisonError};

/// What is asked, as typed in.
#[derive(Args)]
#[command(after_long_help = help::BATCH)]
pub struct BatchArgs {
    /// Folders, files, patterns in quotes, s3://bucket/prefix; `-` reads such from standard input
    #[arg(required = true, value_name = "WHAT")]
    what: Vec<String>,
    /// Keep results, tables and summary in this folder, and go on there where a run was cut short
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Hear a logger's rotated files as one where they follow each other without a break
    #[arg(long)]
    join: bool,
    /// Name of the site, the same for all
    #[arg(long, value_name = "NAME", conflicts_with = "site_folder")]
    site: Option<String>,
    /// Which folder below what is named tells the site, counted from 1
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..))]
    site_folder: u8,
    /// Count those folders from below this one, where single files are listed
    #[arg(long, value_name = "DIR", conflicts_with = "site")]
    root: Option<String>,
    /// The controller's hang time in seconds, if it is the same for all
    #[arg(long, value_name = "SECONDS", value_parser = super::check::hang_value)]
    hang: Option<f64>,
    /// How the recordings were made, if all in one way
    #[arg(long, value_name = "MODE")]
    mode: Option<station::Listening>,
    /// Recordings worked on at a time [default: as many as there are cores]
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

/// Where lines go.
enum Sink {
    /// To standard output.
    Lines,
    /// Into a folder.
    Kept(Arc<Mutex<Results>>, PathBuf),
}

/// What became of a run.
#[derive(Default)]
struct Tally {
    failed: usize,
    heard: usize,
    again: usize,
    unchanged: usize,
}

/// Hears the archive.
pub fn run(args: BatchArgs) -> ExitCode {
    let colour = args.colour;
    match work(args) {
        Ok((tally, summary)) => {
            if let Some(leaf) = summary {
                let style = Style {
                    width: console::width(),
                    colour: console::painted(colour),
                };
                if say(leaf.text(style).as_bytes()) == Said::Failed {
                    return ExitCode::from(FAILED);
                }
            }
            if tally.failed > 0 {
                ExitCode::from(FAILED)
            } else {
                ExitCode::SUCCESS
            }
        }
        Err(fault) => {
            complain(&fault.to_string());
            ExitCode::from(match fault {
                Error::BadSetting { .. } => USAGE,
                _ => FAILED,
            })
        }
    }
}

fn work(args: BatchArgs) -> Result<(Tally, Option<crate::present::site::leaf::Leaf>)> {
    let known = CheckOptions {
        hang: args.hang.map(crate::units::Seconds),
        mode: args.mode.map(Into::into),
    };
    let naming = match args.site {
        Some(name) => Naming::Stated(name),
        None => Naming::Folder {
            level: usize::from(args.site_folder),
            below: args.root,
        },
    };
    let sink = match args.out {
        Some(dir) => Sink::Kept(Arc::new(Mutex::new(Results::open(&dir)?)), dir),
        None => Sink::Lines,
    };
    leave_whole(&sink);
    let mut stores = Stores::default();
    let mut findings = find::find(&args.what, &naming, &mut stores)?;
    if let Sink::Kept(_, dir) = &sink {
        leave_out(&mut findings, dir);
    }
    if findings.passed_over > 0 {
        let n = findings.passed_over;
        complain(&format!(
            "{n} files passed over: their names are not those of sound files"
        ));
    }
    let settings = settings(&known);
    let Findings { found, missing, .. } = findings;
    let jobs = if args.join {
        join::joined(found, args.jobs, &stores)?
    } else {
        join::apart(found)
    };
    let tools = Tools {
        stores: &stores,
        known,
        settings: &settings,
    };
    let mut tally = Tally::default();
    for (address, site, fault) in &missing {
        complain(&fault.to_string());
        tally.failed += 1;
        put(&sink, &[], &hear::missing(address, site, &settings, fault))?;
    }
    hear_all(&jobs, args.jobs, &tools, &sink, &mut tally)?;
    match &sink {
        Sink::Lines => Ok((tally, None)),
        Sink::Kept(results, dir) => {
            let mut results = lock(results);
            report(&tally, results.len());
            let leaf = outputs::write(dir, &mut results)?;
            Ok((tally, Some(leaf)))
        }
    }
}

fn report(tally: &Tally, lines: usize) {
    complain(&format!(
        "{} heard now, {} known by their content, {} as they were; {lines} in the results",
        tally.heard, tally.again, tally.unchanged
    ));
}

/// One recording's way.
enum Done {
    Unchanged,
    Again(BatchJson),
    Heard(BatchJson),
}

fn hear_all(
    jobs: &[Job],
    threads: usize,
    tools: &Tools,
    sink: &Sink,
    tally: &mut Tally,
) -> Result<()> {
    let meter = Meter::new(jobs.len(), jobs.iter().map(Job::bytes).sum());
    let mut fault = None;
    let worked = as_done(
        jobs,
        threads,
        |job| {
            let mut share = meter.one(job.bytes());
            let done = one(job, tools, sink, &mut share);
            share(Share::ALL);
            done
        },
        |job, done| {
            let line = match done {
                Done::Unchanged => {
                    tally.unchanged += 1;
                    meter.done(0.0, false);
                    return ControlFlow::Continue(());
                }
                Done::Again(line) => {
                    tally.again += 1;
                    line
                }
                Done::Heard(line) => {
                    tally.heard += 1;
                    line
                }
            };
            tally.failed += usize::from(line.error.is_some());
            meter.done(
                line.coverage.recorded_s.unwrap_or(0.0),
                line.error.is_some(),
            );
            if let Some(error) = &line.error {
                meter.aside(|| complain(&error.message));
            }
            match meter.aside(|| put(sink, &job.files, &line)) {
                Ok(Said::Out) => ControlFlow::Continue(()),
                Ok(said) => {
                    tally.failed += usize::from(said == Said::Failed);
                    ControlFlow::Break(())
                }
                Err(error) => {
                    fault = Some(error);
                    ControlFlow::Break(())
                }
            }
        },
    );
    meter.finish();
    worked.map_err(|f| Error::io("threads", std::io::Error::other(f)))?;
    fault.map_or(Ok(()), Err)
}

/// Hears one, unless its result is there already.
fn one(job: &Job, tools: &Tools, sink: &Sink, progress: &mut dyn FnMut(Share)) -> Done {
    let Sink::Kept(results, _) = sink else {
        return Done::Heard(hear::hear(job, tools, &[], progress));
    };
    let site = job.files.first().map_or("", |f| f.site.as_str());
    let worth_hashing = {
        let results = lock(results);
        if results.has_unchanged(&job.files, site, tools.settings) {
            return Done::Unchanged;
        }
        // What is heard as one tells no digest of each; a single file's comes with its check.
        job.files.len() > 1 || job.files.iter().all(|f| results.may_know(f.bytes))
    };
    if !worth_hashing {
        return Done::Heard(hear::hear(job, tools, &[], progress));
    }
    let hashes = hear::hashes(job).unwrap_or_default();
    let whole: Option<Vec<String>> = hashes.iter().cloned().collect();
    if let Some(whole) = whole.filter(|w| w.len() == job.files.len())
        && let Some(known) = lock(results).same_content(&whole, tools.settings)
    {
        return Done::Again(hear::again(job, &whole, known, tools.stores));
    }
    Done::Heard(hear::hear(job, tools, &hashes, progress))
}

fn put(sink: &Sink, files: &[find::Found], line: &BatchJson) -> Result<Said> {
    match sink {
        Sink::Lines => Ok(say(format!("{}\n", line.line()).as_bytes())),
        Sink::Kept(results, _) => {
            let mut results = lock(results);
            if !results.is_newest(line) {
                results.add(line)?;
            }
            results.saw(files, line);
            Ok(Said::Out)
        }
    }
}

fn lock(results: &Mutex<Results>) -> std::sync::MutexGuard<'_, Results> {
    results.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Ctrl-C and SIGTERM wait for the line that is being written, or for the tables at the end, then end
/// the program: what is not done is done by the next run.
fn leave_whole(sink: &Sink) {
    let results = match sink {
        Sink::Lines => None,
        Sink::Kept(results, _) => Some(Arc::clone(results)),
    };
    stop::at_stop(move |status| {
        if (results.as_ref()).is_some_and(|r| matches!(r.try_lock(), Err(WouldBlock))) {
            complain("a result is being written; who stops once more does not wait for it");
        }
        let held = results.as_ref().map(|r| lock(r));
        let out = std::io::stdout().lock();
        if let Some(held) = &held {
            let n = held.len();
            complain(&format!(
                "stopped; {n} results are kept, the same command goes on from there"
            ));
        }
        drop(out);
        std::process::exit(status);
    });
}

/// The results' own folder may lie within the archive; what is in it is no recording.
fn leave_out(findings: &mut Findings, dir: &Path) {
    let Ok(dir) = dir.canonicalize() else { return };
    let within = |path: &Path| path.canonicalize().is_ok_and(|p| p.starts_with(&dir));
    let folders: BTreeSet<PathBuf> = (findings.found.iter())
        .filter_map(|f| match &f.place {
            find::Place::Disk(path) => path.parent().map(Path::to_path_buf),
            find::Place::Store(..) => None,
        })
        .collect();
    let inside: BTreeSet<PathBuf> = folders.into_iter().filter(|f| within(f)).collect();
    findings.found.retain(|f| match &f.place {
        find::Place::Disk(path) => path.parent().is_none_or(|p| !inside.contains(p)),
        find::Place::Store(..) => true,
    });
}

/// Digest of everything beside the content that a result depends on: what the user stated, this
/// program's version, and what its ear was fitted to.
fn settings(known: &CheckOptions) -> String {
    let stated = format!(
        "{} hang {:?} mode {:?} ",
        env!("CARGO_PKG_VERSION"),
        known.hang.map(crate::units::Seconds::get),
        known.mode
    );
    let fitted: [&[u8]; 2] = [
        include_bytes!("../tuning/network.tbn"),
        include_bytes!("../tuning/cause_tables.json"),
    ];
    let all = [stated.as_bytes(), fitted[0], fitted[1]].concat();
    super::compare::sha256(&all)[..SETTINGS_DIGITS].to_owned()
}

/// Hexadecimal digits kept: enough to tell settings apart, short enough for every line.
const SETTINGS_DIGITS: usize = 16;
