//! `tailbeat prove`: makes the corpus, checks it, and writes the accuracy page.

mod ears;
mod fingerprint;
mod fitting;
mod folder;
mod frames;
mod judging;
mod labelled;
mod lines;
mod making;
mod recordings;
mod selection;
mod summary;
mod watching;

use super::console::{Said, complain};
use crate::error::{Error, Result};
use crate::proving::corpus::{Cell, Corpus, Part};
use crate::proving::outcome::Outcome;
use crate::proving::page::{Made, Page};
use clap::builder::PossibleValue;
use clap::{Args, ValueEnum};
use ears::Ear;
use making::Maker;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// What to prove, and where to put it.
#[derive(Debug, Clone, Args)]
#[command(after_help = EXAMPLES)]
pub struct ProveArgs {
    /// Part of the corpus
    #[arg(long, value_enum, default_value = "held-out")]
    part: PartWord,
    /// Only recordings of this tier; may be given several times
    #[arg(long, value_enum)]
    tier: Vec<TierWord>,
    /// Only scenes or chains whose name contains this; may be given several times
    #[arg(long, value_name = "TEXT")]
    family: Vec<String>,
    /// Only what was wrong when this part was last run
    #[arg(long)]
    only_failures: bool,
    /// No more than this many recordings, spread over the whole selection
    #[arg(long, value_name = "COUNT")]
    limit: Option<usize>,
    /// Recordings at once [default: as many as there are cores]
    #[arg(long, value_name = "COUNT")]
    jobs: Option<usize>,
    /// Write one line of JSON for each recording: paths, truth, check and how it was judged
    #[arg(long, value_name = "FILE")]
    dump_jsonl: Option<PathBuf>,
    /// With --part fit: write every recording's frames and labels instead, to fit the timeline's
    /// network on
    #[arg(long, value_name = "DIR", conflicts_with_all = ["refit", "leave_out"])]
    frames: Option<PathBuf>,
    /// With --frames, --refit or --leave-out: draw so many times the split's number to fit on. What
    /// --frames draws beyond it is not of the spared pairs and is not kept as sound; what is judged
    /// is the split's number alone
    #[arg(long, value_name = "COUNT", default_value_t = 1,
        value_parser = clap::value_parser!(u32).range(1..))]
    times: u32,
    /// With --frames: not what --times COUNT draws, but only what is beyond it, to go on fitting on
    /// recordings that the network has never heard
    #[arg(long, value_name = "COUNT", default_value_t = 0, requires = "frames")]
    after: u32,
    /// Hear by this file of a fitted network instead of the program's own
    #[arg(long, value_name = "FILE")]
    network: Option<PathBuf>,
    /// Make one recording with its labels instead, as in cycling-steady@line-scanner:0
    #[arg(long, value_name = "NAME", requires = "out")]
    render: Option<String>,
    /// Folder for --render
    #[arg(short, long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// With --refit or --leave-out: hear each recording by that one of DIR/0.tbn, DIR/1.tbn and so on whose
    /// part for the whole was fitted without the recording's fold, as tests/training/likeness.py --fold
    /// fits them
    #[arg(long, value_name = "DIR", conflicts_with = "network")]
    folds: Option<PathBuf>,
    /// With --part spared: fit the causes' tables anew, for the next build
    #[arg(long, conflicts_with_all = ["tier", "family", "only_failures", "limit", "leave_out"])]
    refit: bool,
    /// With --part spared: judge each chain by tables fitted on all other chains
    #[arg(long, conflicts_with_all = ["tier", "family", "only_failures", "limit"])]
    leave_out: bool,
    /// Hear the recordings of this folder instead, each with its NAME.truth.json beside it, as the
    /// desk exports its keepers' corrections
    #[arg(long, value_name = "DIR", conflicts_with_all = ["refit", "leave_out", "frames", "watch", "dump_jsonl"])]
    labelled: Option<PathBuf>,
    /// Make the committed recordings of the corpus again, with their labels
    #[arg(long)]
    remake_recordings: bool,
    /// Only print the names of the recordings
    #[arg(long)]
    list: bool,
    /// With --part fit: play it all to the live watch instead, and write how long alarms take and
    /// how often they are false
    #[arg(long, value_name = "FILE", conflicts_with_all = ["refit", "leave_out", "frames"])]
    watch: Option<PathBuf>,
    /// With --watch: also every recording below this folder, none of which is a cycling repeater;
    /// may be given several times
    #[arg(long, value_name = "DIR", requires = "watch")]
    real: Vec<PathBuf>,
    /// With --watch: also so many hours of what goes over an ordinary repeater, talk with long silences
    #[arg(long, value_name = "HOURS", requires = "watch", value_parser = some_hours)]
    ordinary_hours: Option<f64>,
    /// Folder of the corpus
    #[arg(long, value_name = "DIR", default_value = "corpus")]
    corpus: PathBuf,
    /// Folder for renderings that are kept from run to run
    #[arg(long, value_name = "DIR", default_value = "target/corpus")]
    cache: PathBuf,
    /// Folder of the page; by default only the whole held-out part and --leave-out write one, to
    /// reports
    #[arg(long, value_name = "DIR")]
    reports: Option<PathBuf>,
}

fn some_hours(text: &str) -> Result<f64, String> {
    let hours = text
        .parse()
        .ok()
        .filter(|h: &f64| h.is_finite() && *h > 0.0);
    hours.ok_or_else(|| "give hours as a number above 0".into())
}

const EXAMPLES: &str = "\
Examples:
  tailbeat prove --part quick
  tailbeat prove --part fit --tier phone --family cycling --dump-jsonl phone.jsonl
  tailbeat prove --render cycling-steady@line-scanner:0 -o heard

Lossy codecs need ffmpeg on the path. A whole part takes its time; renderings are kept, so that
the next run only checks.

Exit status: 0 proven, whatever the figures (a recording that cannot be heard counts as wrong);
1 something could not be read or written; 2 wrong usage.";

/// Parts as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum PartWord {
    /// What may be fitted on
    Fit,
    /// What of it the network was not fitted on; the causes' tables are fitted on this
    Spared,
    /// What nothing is fitted on
    HeldOut,
    /// One recording for each tier and cause of the held-out part
    Quick,
}

/// Tiers as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum TierWord {
    /// By line, squelched
    Line,
    /// By line, open squelch
    Open,
    /// Through a lossy codec
    Codec,
    /// A phone at a loudspeaker
    Phone,
    /// Several troubles at once
    Hard,
    /// Voice-activated
    Cut,
}

impl PartWord {
    const fn part(self) -> Part {
        match self {
            Self::Fit => Part::Fit,
            Self::Spared => Part::Spared,
            Self::HeldOut => Part::HeldOut,
            Self::Quick => Part::Quick,
        }
    }
}

/// Runs the command. A recording that cannot be checked is no error but a wrong answer.
pub fn run(args: &ProveArgs) -> ExitCode {
    match prove(args) {
        Ok(Said::Out | Said::Closed) => ExitCode::SUCCESS,
        Ok(Said::Failed) => ExitCode::from(super::FAILED),
        Err(fault) => {
            complain(&fault.to_string());
            ExitCode::from(match fault {
                Error::BadSetting { .. } => super::USAGE,
                _ => super::FAILED,
            })
        }
    }
}

fn prove(args: &ProveArgs) -> Result<Said> {
    let fits = args.frames.is_some() || args.refit || args.leave_out;
    if args.times > 1 && !fits {
        return Err(Error::BadSetting {
            place: "--times".into(),
            what: "only fitting draws more than the split counts".into(),
            remedy: "add --frames, --refit or --leave-out, or leave it out".into(),
        });
    }
    if args.folds.is_some() && !(args.refit || args.leave_out) {
        return Err(Error::BadSetting {
            place: "--folds".into(),
            what: "only the spared part's recordings have folds to leave out".into(),
            remedy: "add --refit or --leave-out, or leave it out".into(),
        });
    }
    let wanted = [
        (args.frames.is_some(), PartWord::Fit, "fit"),
        (args.watch.is_some(), PartWord::Fit, "fit"),
        (args.refit || args.leave_out, PartWord::Spared, "spared"),
    ];
    for (asked, part, word) in wanted {
        if asked && args.part != part {
            return Err(Error::BadSetting {
                place: "--part".into(),
                what: "nothing is ever fitted on the held-out part, but the network on the fit \
                       part, and tables on what that spared"
                    .into(),
                remedy: format!("add --part {word}"),
            });
        }
    }
    if args.remake_recordings {
        let made = recordings::remake(&args.corpus.join("recordings"))?;
        return Ok(summary::print_files(&made));
    }
    let ear = Ear::read(args.network.as_deref())?;
    if let Some(folder) = &args.labelled {
        return labelled::hear(folder, &|path: &Path| ear.check(path));
    }
    let corpus = Corpus::from_files(&folder::read(&args.corpus)?)?;
    if let (Some(name), Some(out)) = (&args.render, &args.out) {
        return render_one(&corpus, args, name, out);
    }
    let part = args.part.part();
    let cells = selection::select(&corpus, args, part)?;
    if args.list {
        return Ok(summary::list(&cells));
    }
    let maker = Maker::new(&args.cache)?;
    if let Some(folder) = &args.frames {
        let further = selection::further(&corpus, &cells, args.after.max(1)..args.times);
        let counted = if args.after == 0 { &cells[..] } else { &[] };
        let mut files = judging::each(counted, args.jobs, |cell| {
            let make = || maker.make(&corpus.draw(cell)?);
            frames::write(folder, cell, make)
        })?;
        // Few further drawings leave nothing to hear, over a voice-activated recorder say.
        let more = judging::each(&further, args.jobs, |cell| {
            let drawn = corpus.draw(cell)?;
            let written = frames::write(folder, cell, || maker.make(&drawn));
            maker.forget(&drawn)?;
            Ok(judging::or_left_out(cell, written))
        })?;
        files.extend(more.into_iter().flatten());
        return Ok(summary::print_files(files.as_flattened()));
    }
    if let Some(page) = &args.watch {
        let asked = (page.as_path(), &args.real[..], args.ordinary_hours);
        let files = watching::watch(&corpus, &cells, &maker, args.jobs, asked)?;
        return Ok(summary::print_files(&files));
    }
    let folds = match &args.folds {
        Some(folder) => ears::of_folds(folder, corpus.plan(part), &ear)?,
        None => Vec::new(),
    };
    let judge = |cell: &Cell| {
        let without = corpus.plan(part).fold_of(cell);
        let ear = without.and_then(|fold| folds.get(fold)).unwrap_or(&ear);
        judging::judge(&corpus, cell, &maker, &|path: &Path| ear.check(path))
    };
    let mut judged = judging::each(&cells, args.jobs, judge)?;
    if let Some(path) = &args.dump_jsonl {
        lines::write(path, &judged)?;
    }
    if args.refit || args.leave_out {
        let further = selection::further(&corpus, &cells, 1..args.times);
        let more = judging::each(&further, args.jobs, |cell| {
            Ok(judging::or_left_out(cell, judge(cell)))
        })?;
        judged.extend(more.into_iter().flatten());
    }
    if args.refit {
        let files = fitting::refit(&judged, &args.corpus)?;
        return Ok(summary::print_files(&files));
    }
    let outcomes: Vec<Outcome> = if args.leave_out {
        fitting::left_out(&judged, cells.len())
    } else {
        judged.into_iter().map(|one| one.outcome).collect()
    };
    if !args.leave_out {
        selection::remember_failures(&args.cache, part, &outcomes)?;
    }
    report(args, &corpus, &outcomes)?;
    Ok(summary::print(&outcomes))
}

fn report(args: &ProveArgs, corpus: &Corpus, outcomes: &[Outcome]) -> Result<()> {
    let part = args.part.part();
    let whole = corpus.cells(part).len();
    let Some(folder) = report_folder(args, outcomes.len() == whole) else {
        return Ok(());
    };
    let made = Made {
        part,
        why: &corpus.plan(part).why,
        judged_by: (args.leave_out).then_some(match args.folds {
            Some(_) => LEFT_OUT_WITH_FOLDS,
            None => LEFT_OUT,
        }),
        command: &retold(args),
        whole,
        version: env!("CARGO_PKG_VERSION"),
    };
    write_page(&folder, page_name(args), &Page::new(&made, outcomes))
}

/// What the page says of `--leave-out`.
const LEFT_OUT: &str = "Each chain was judged by tables of causes that were fitted on all other \
    chains of the part: what is measured is how well the tables carry over to a way of recording \
    that they have not seen. The network that hears the frames was fitted on none of these \
    recordings, but on others of the same scenes and of the same chains, so these figures are better \
    than those of unknown scenes on unknown recorders; the held-out part's page tells those.";

/// What the page says of `--leave-out --folds`.
const LEFT_OUT_WITH_FOLDS: &str = "Each chain was judged by tables of causes that were fitted on all \
    other chains of the part, and what a whole recording sounds like was told by a network that had \
    learnt it without the recording's chain or, for every other drawing, without its scene. The frames \
    were heard by a network that was fitted on none of these recordings, but on others of the same \
    scenes and of the same chains, so events are found better here than in unknown scenes on unknown \
    recorders; the held-out part's page tells those.";

fn render_one(corpus: &Corpus, args: &ProveArgs, name: &str, out: &Path) -> Result<Said> {
    let drawn = corpus.draw(&Cell::parse(name)?)?;
    let made = Maker::new(&args.cache)?.make(&drawn)?;
    Ok(summary::print_files(&made.copy_to(out, name)?))
}

/// The command that makes the same page again: what was typed, but for folders and speed.
fn retold(args: &ProveArgs) -> String {
    let word = |value: Option<PossibleValue>| {
        value.map_or_else(String::new, |value| value.get_name().to_string())
    };
    let mut text = String::from("tailbeat prove");
    if args.part != PartWord::HeldOut {
        text += &format!(" --part {}", word(args.part.to_possible_value()));
    }
    for tier in &args.tier {
        text += &format!(" --tier {}", word(tier.to_possible_value()));
    }
    for family in &args.family {
        text += &format!(" --family {family}");
    }
    if args.leave_out {
        text += " --leave-out";
    }
    if args.folds.is_some() {
        text += " --folds FOLDS";
    }
    if args.times > 1 {
        text += &format!(" --times {}", args.times);
    }
    if args.only_failures {
        text += " --only-failures";
    }
    if let Some(limit) = args.limit {
        text += &format!(" --limit {limit}");
    }
    text
}

/// A page of a mere selection would pass for the whole: it is written only where it was asked for.
fn report_folder(args: &ProveArgs, whole: bool) -> Option<PathBuf> {
    let shown = whole && (args.part == PartWord::HeldOut || args.leave_out);
    args.reports
        .clone()
        .or_else(|| shown.then(|| PathBuf::from("reports")))
}

const fn page_name(args: &ProveArgs) -> &'static str {
    match (args.leave_out, args.part) {
        (true, _) => "accuracy-left-out",
        (false, PartWord::HeldOut) => "accuracy",
        (false, PartWord::Fit) => "accuracy-fit",
        (false, PartWord::Spared) => "accuracy-spared",
        (false, PartWord::Quick) => "accuracy-quick",
    }
}

fn write_page(folder: &Path, stem: &str, page: &Page) -> Result<()> {
    let json = page.to_json().map_err(|error| Error::BadSetting {
        place: "accuracy page".into(),
        what: error.to_string(),
        remedy: "report this as a fault".into(),
    })?;
    std::fs::create_dir_all(folder).map_err(|e| Error::io(folder.display().to_string(), e))?;
    for (ending, text) in [("md", page.to_markdown()), ("json", json)] {
        let path = folder.join(format!("{stem}.{ending}"));
        std::fs::write(&path, text).map_err(|e| Error::io(path.display().to_string(), e))?;
    }
    Ok(())
}
