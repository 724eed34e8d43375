//! `tailbeat compare`.

mod exhibits;
mod verify;

use super::leaflet::{Form, Leaflet, Picture, deliver};
use crate::compare::{Comparison, Stated, compare};
use crate::error::{Error, Result};
use crate::present::compare::beats::{View, svg};
use crate::present::compare::{CompareJson, dossier, leaf};
use crate::present::picture::Theme;
use crate::present::picture::sheet::Format;
use crate::present::site::json;
use clap::Args;
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

const HELP: &str = "\
Each FILE is a recording, a saved result of `check --json`, or a saved result of `backoff --json`.
Record both sets alike: same set, same recorder, same place, and a signal held at its dropping
point, so that the carrier drops ten times or more.

Examples:
      tailbeat compare --before may.wav --after june.wav
  Several recordings a set, a stepped test in each, and a dossier of one sheet into the folder proof:
      tailbeat compare --before may-*.wav may-steps.json --after june-*.wav june-steps.json \\
          --station \"QQ0TB, east hill\" --work \"jumper 2 replaced\" --out proof
  Are the recordings still the ones compared, and do they come out the same?
      tailbeat compare --verify proof

--verify looks for each file as the dossier names it, beside the dossier and one folder up, and in
the folders named with --evidence.

Exit status: 0 compared, whatever it proves (--verify: everything holds), 1 a file cannot be read
(--verify: something does not hold), 2 wrong usage.";

/// What is asked.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub struct CompareArgs {
    /// Recordings or saved results from before the repair
    #[arg(
        long,
        value_name = "FILE",
        num_args = 1..,
        required_unless_present = "verify",
        requires = "after"
    )]
    before: Vec<PathBuf>,
    /// Recordings or saved results from after it
    #[arg(
        long,
        value_name = "FILE",
        num_args = 1..,
        required_unless_present = "verify",
        requires = "before"
    )]
    after: Vec<PathBuf>,
    /// The station, to stand on the dossier
    #[arg(long, value_name = "WORDS")]
    station: Option<String>,
    /// What was done in between, to stand on the dossier
    #[arg(long, value_name = "WORDS")]
    work: Option<String>,
    /// Look at the evidence of an earlier comparison again: its folder or its compare.json
    #[arg(
        long,
        value_name = "DOSSIER",
        conflicts_with_all = ["before", "after", "station", "work", "out"]
    )]
    verify: Option<PathBuf>,
    /// With --verify: a folder in which the evidence may lie
    #[arg(long, value_name = "DIR", requires = "verify", conflicts_with_all = ["before", "after"])]
    evidence: Vec<PathBuf>,
    #[command(flatten)]
    form: Form,
}

/// Compares or verifies, and prints.
pub fn run(args: &CompareArgs) -> ExitCode {
    match &args.verify {
        Some(dossier) => verify::run(dossier, &args.evidence, &args.form),
        None => deliver(answer(args), &args.form),
    }
}

fn answer(args: &CompareArgs) -> Result<Leaflet> {
    let stated = Stated {
        station: words("--station", args.station.as_ref())?,
        work: words("--work", args.work.as_ref())?,
    };
    let sets = exhibits::read_sets(&args.before, &args.after)?;
    Ok(leaflet(&compare(sets.0, sets.1, stated)?))
}

/// Longest statement that still leaves the dossier on one sheet, in characters.
const MOST_WORDS: usize = 100;

fn words(flag: &str, stated: Option<&String>) -> Result<Option<String>> {
    match stated.map(|words| words.trim()) {
        Some(words) if words.chars().count() > MOST_WORDS => Err(Error::BadSetting {
            place: flag.into(),
            what: format!("more than {MOST_WORDS} characters"),
            remedy: "say it in one line; the dossier is one sheet".into(),
        }),
        words => Ok(words.filter(|w| !w.is_empty()).map(str::to_owned)),
    }
}

/// The comparison in all its forms.
fn leaflet(of: &Comparison) -> Leaflet {
    let json = json::line(&CompareJson::from(of));
    // Of the file as it is written, with its line feed.
    let fingerprint = sha256(format!("{json}\n").as_bytes());
    let drawn = |theme| {
        svg(
            of,
            View {
                format: Format::Wide,
                theme: Some(theme),
                id: "w",
            },
        )
    };
    Leaflet {
        name: "compare",
        leaf: leaf(of),
        page: Some((dossier::PAGE, dossier::page(of, &fingerprint))),
        json,
        pictures: vec![Picture {
            name: "beats",
            auto: drawn(Theme::Auto),
            light: drawn(Theme::Light),
        }],
    }
}

/// Lower-case hexadecimal digits.
/// Lower-case hexadecimal digits.
pub(super) fn sha256(bytes: &[u8]) -> String {
    let digits = Sha256::digest(bytes);
    digits.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// A file as the result names it: as typed, but without the folders of a full path, which tell
/// more of the machine than of the evidence.
fn as_named(path: &Path) -> String {
    let kept = if path.is_absolute() {
        path.file_name().map_or(path, Path::new)
    } else {
        path
    };
    kept.to_string_lossy().replace('\\', "/")
}
