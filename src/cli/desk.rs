//! `tailbeat desk` and its helpers: worker, backup, restoring, and (hidden) the analysis of one file.

mod readmit;

pub use readmit::{ReadmitArgs, readmit};

use super::console::{Said, complain, say};
use super::{FAILED, USAGE};
use crate::desk::analysis::child;
use crate::desk::backup::{self, Extent};
use crate::desk::serve::{self, News};
use crate::desk::settings::{Bounds, Limits, Place, Settings};
use crate::error::{Error, Result};
use clap::Args;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::process::ExitCode;

const HELP: &str = "\
Examples:
  A club's desk on this machine; the first start prints the link for the first keeper:
      tailbeat desk
  Behind a web server that adds TLS and passes requests on:
      tailbeat desk --folder club --public https://desk.example.org --behind-proxy
  A shop's desk with many sites: PostgreSQL, an S3-compatible store, analyses on other machines:
      tailbeat desk --folder shop --database postgres://desk@db.example.org/desk \\
          --objects s3://originals/desk --analyses 0
      tailbeat desk-worker --folder worker --database postgres://desk@db.example.org/desk \\
          --objects s3://originals/desk

Without --database and --objects everything lies in the folder, which is made where it is missing:
a SQLite database and the originals. The desk listens on this machine only, unless --listen says otherwise; put a web server
with TLS before it when others are to reach it.

Exit status: 0 stopped in order, 1 failed, 2 wrong usage.";

const BACKUP_HELP: &str = "\
Examples:
  The desk in the folder `club`, whether it runs or not:
      tailbeat desk-backup --folder club --to club.zip
  Every night, by a name of its own:
      tailbeat desk-backup --folder club --to \"club-$(date +%F).zip\"

The file holds accounts, recordings with their originals, verdicts, notes, cases and the log, as they
were at one moment; a backup never writes over another. Sessions are not in it: whoever was signed in
signs in anew.

Exit status: 0 written, 1 failed, 2 wrong usage, or no desk there.";

const RESTORE_HELP: &str = "\
Examples:
  Onto another machine, or back after a loss:
      tailbeat desk-restore --folder again --from club.zip
      tailbeat desk --folder again
  The same into PostgreSQL:
      tailbeat desk-restore --folder shop --database postgres://desk@db.example.org/desk \\
          --from club.zip

The desk that it is restored into must not have been used: nothing is ever written over.

Exit status: 0 restored, 1 failed, or the file is no backup, 2 wrong usage.";

/// Where everything lies.
#[derive(Args)]
struct Where {
    /// The desk's folder
    #[arg(long, value_name = "DIR", default_value = "tailbeat-desk")]
    folder: PathBuf,
    /// A SQLite file, or postgres://USER@HOST/NAME [default: desk.sqlite in the folder]
    #[arg(long, value_name = "DATABASE")]
    database: Option<String>,
    /// A folder for the originals, or s3://BUCKET/PREFIX [default: originals in the folder]
    #[arg(long, value_name = "PLACE")]
    objects: Option<String>,
}

impl Where {
    fn place(self) -> Result<Place> {
        Place::new(
            self.folder,
            self.database.as_deref(),
            self.objects.as_deref(),
        )
    }
}

/// Bounds of analyses.
#[derive(Args)]
struct BoundArgs {
    /// Analyses at a time
    #[arg(long, value_name = "N", default_value_t = 1)]
    analyses: usize,
    /// Seconds that one analysis may take
    #[arg(long, value_name = "SECONDS", default_value_t = 300, value_parser = clap::value_parser!(u64).range(1..))]
    most_seconds: u64,
    /// Memory that one analysis may take, in MB
    #[arg(long, value_name = "MB", default_value_t = 2048, value_parser = clap::value_parser!(u64).range(64..))]
    most_memory: u64,
    /// Longest recording that is analysed, in minutes
    #[arg(long, value_name = "MINUTES", default_value_t = 240, value_parser = clap::value_parser!(u64).range(1..))]
    most_minutes: u64,
}

impl BoundArgs {
    const fn bounds(&self) -> Bounds {
        Bounds {
            at_a_time: self.analyses,
            seconds: self.most_seconds,
            memory_bytes: self.most_memory.saturating_mul(1024 * 1024),
            sound_s: self.most_minutes.saturating_mul(60),
        }
    }
}

/// What is asked of the desk.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub struct DeskArgs {
    #[command(flatten)]
    at: Where,
    /// Address and port to listen on
    #[arg(long, value_name = "ADDRESS:PORT", default_value = "127.0.0.1:8474")]
    listen: SocketAddr,
    /// Address under which others reach the desk, for links
    #[arg(long, value_name = "URL")]
    public: Option<String>,
    /// A web server in front says in X-Forwarded-For who asks
    #[arg(long)]
    behind_proxy: bool,
    #[command(flatten)]
    bounds: BoundArgs,
    /// Largest recording, in MB
    #[arg(long, value_name = "MB", default_value_t = 200, value_parser = clap::value_parser!(u64).range(1..))]
    most_megabytes: u64,
    /// Recordings that one repeater may get in an hour
    #[arg(long, value_name = "N", default_value_t = 120)]
    most_an_hour: u32,
}

/// What is asked of a worker.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub struct WorkerArgs {
    #[command(flatten)]
    at: Where,
    #[command(flatten)]
    bounds: BoundArgs,
}

/// What is asked of a backup.
#[derive(Args)]
#[command(after_long_help = BACKUP_HELP)]
pub struct BackupArgs {
    #[command(flatten)]
    at: Where,
    /// The backup's file, which must not be there yet
    #[arg(long, value_name = "FILE")]
    to: PathBuf,
}

/// What is asked of a restoring.
#[derive(Args)]
#[command(after_long_help = RESTORE_HELP)]
pub struct RestoreArgs {
    #[command(flatten)]
    at: Where,
    /// A backup's file
    #[arg(long, value_name = "FILE")]
    from: PathBuf,
}

/// Writes a backup.
pub fn backup(args: BackupArgs) -> ExitCode {
    moved(args.at, "kept", |place| async move {
        backup::make(&place, &args.to).await
    })
}

/// Restores a backup.
pub fn restore(args: RestoreArgs) -> ExitCode {
    moved(args.at, "restored", |place| async move {
        backup::restore(&place, &args.from).await
    })
}

fn moved<F: Future<Output = Result<Extent>>>(
    at: Where,
    what: &str,
    work: impl FnOnce(Place) -> F,
) -> ExitCode {
    ended(at.place().and_then(|place| {
        let extent = in_runtime(work(place))?;
        let text = format!(
            "{} originals and {} rows {what}\n",
            extent.originals, extent.rows
        );
        say(text.as_bytes());
        Ok(())
    }))
}

/// Runs the desk.
pub fn run(args: DeskArgs) -> ExitCode {
    ended(resolve(args).and_then(|settings| {
        in_runtime(async {
            let stop = asked_to_stop()?;
            serve::desk(settings, tell, complain, stop).await
        })
    }))
}

/// Runs a worker.
pub fn work(args: WorkerArgs) -> ExitCode {
    let bounds = args.bounds.bounds();
    ended(args.at.place().and_then(|place| {
        in_runtime(async {
            let stop = asked_to_stop()?;
            serve::work_only(&place, bounds, complain, stop).await
        })
    }))
}

/// Analyses one file for a worker.
pub fn analyse() -> ExitCode {
    ended(child::run())
}

fn web_address(typed: String) -> Result<String> {
    let url = typed.trim_end_matches('/').to_owned();
    if url.starts_with("http://") || url.starts_with("https://") {
        Ok(url)
    } else {
        Err(Error::BadSetting {
            place: "--public".into(),
            what: format!("{url} is no address of the web"),
            remedy: "write it whole, such as https://desk.example.org".into(),
        })
    }
}

fn resolve(args: DeskArgs) -> Result<Settings> {
    Ok(Settings {
        place: args.at.place()?,
        listen: args.listen,
        public: args.public.map(web_address).transpose()?,
        behind_proxy: args.behind_proxy,
        bounds: args.bounds.bounds(),
        limits: Limits {
            recording_bytes: args.most_megabytes.saturating_mul(1_000_000),
            recordings_an_hour: args.most_an_hour,
        },
    })
}

fn in_runtime<T>(work: impl Future<Output = Result<T>>) -> Result<T> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|fault| Error::io("threads", fault))?;
    runtime.block_on(work)
}

/// Ready when the user, or the system, asks the program to end. It listens from the call on.
#[cfg(unix)]
fn asked_to_stop() -> Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let listen = |kind| signal(kind).map_err(|fault| Error::io("signals", fault));
    let mut term = listen(SignalKind::terminate())?;
    let mut interrupt = listen(SignalKind::interrupt())?;
    Ok(async move {
        tokio::select! {
            _ = term.recv() => {}
            _ = interrupt.recv() => {}
        }
    })
}

/// The same where there is only the key.
#[cfg(not(unix))]
fn asked_to_stop() -> Result<impl Future<Output = ()>> {
    Ok(async {
        let _ = tokio::signal::ctrl_c().await;
    })
}

fn tell(news: News) {
    let text = match news {
        News::Listening(at) => format!("The desk listens at {at}\n"),
        News::FirstLink(link) => format!(
            "Nobody has an account yet. Open this link within seven days; it works once and makes \
             you the first keeper:\n  {link}\n"
        ),
        News::Unprotected => {
            complain(
                "others can reach this address, and nothing hides what they send: put a web \
                 server with TLS before the desk, and name it with --public https://...",
            );
            return;
        }
    };
    if matches!(say(text.as_bytes()), Said::Failed) {
        complain("standard output cannot be written");
    }
}

fn ended(result: Result<()>) -> ExitCode {
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            complain(&fault.to_string());
            let usage = matches!(fault, Error::BadSetting { .. });
            ExitCode::from(if usage { USAGE } else { FAILED })
        }
    }
}
