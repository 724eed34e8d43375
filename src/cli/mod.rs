//! The commands: one file each. Only here and in the desk are files, clock and terminal touched.

mod backoff;
mod batch;
mod check;
mod compare;
mod completions;
mod console;
mod cost;
mod desk;
mod drawing;
mod help;
mod hunt;
mod in_order;
mod leaflet;
mod manual;
mod outputs;
mod play;
mod progress;
mod prove;
mod schema;
mod simulate;
mod sinad;
mod source;
mod station;
mod stop;
mod tee;
mod tls;
mod watch;
mod wav;
mod whole;

use clap::{CommandFactory, Parser, Subcommand};
use std::process::ExitCode;

/// Could not be analysed.
const FAILED: u8 = 1;
/// Wrong usage.
const USAGE: u8 = 2;

#[derive(Parser)]
#[command(name = "tailbeat", version, about = help::ABOUT, long_about = help::LONG_ABOUT)]
#[command(after_long_help = help::EXAMPLES, after_help = help::MORE)]
#[command(arg_required_else_help = true, propagate_version = true)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Say what is going on in recordings of a repeater
    Check(check::CheckArgs),
    /// Hear an archive: folders, patterns, object stores; tables and a summary of all of it
    Batch(batch::BatchArgs),
    /// Listen for ever, and tell when the repeater begins to cycle
    Watch(watch::WatchArgs),
    /// Measure how good the verdicts are, on simulated recordings whose truth is known
    Prove(prove::ProveArgs),
    /// Work out the desense from a stepped back-off test, recorded or typed by hand
    Backoff(backoff::BackoffArgs),
    /// Say what a desense costs the users, and how much isolation is missing
    Cost(cost::CostArgs),
    /// Work out desense, site noise and leakage from levels read at an isolated tee
    Tee(tee::TeeArgs),
    /// Measure SINAD or quieting in a recording
    Sinad(sinad::SinadArgs),
    /// Plan the search for the bad part along the antenna chain
    Hunt(hunt::HuntArgs),
    /// Set before against after, and say what that proves of a repair
    Compare(compare::CompareArgs),
    /// Play a scene from the user's voice to the recording: hear what desense sounds like
    Simulate(simulate::SimulateArgs),
    /// Run the web desk: members send recordings in, keepers decide from home
    Desk(desk::DeskArgs),
    /// Analyse recordings for a desk on another machine
    DeskWorker(desk::WorkerArgs),
    /// Write everything that a desk keeps into one file, while the desk goes on
    DeskBackup(desk::BackupArgs),
    /// Let in again a keeper of a desk who has lost the password, by a link that works once
    DeskReadmit(desk::ReadmitArgs),
    /// Restore a backup into a new desk
    DeskRestore(desk::RestoreArgs),
    /// Analyse one file for a worker
    #[command(hide = true)]
    DeskAnalysis,
    /// Print the JSON Schema of a machine-readable output
    Schema(schema::SchemaArgs),
    /// Print a completion script for a shell
    Completions(completions::CompletionsArgs),
    /// Print the manual page
    Manual(manual::ManualArgs),
}

/// Runs the program.
#[must_use]
pub fn run() -> ExitCode {
    match Cli::parse().command {
        Command::Check(args) => check::run(args),
        Command::Batch(args) => batch::run(args),
        Command::Watch(args) => watch::run(args),
        Command::Prove(args) => prove::run(&args),
        Command::Backoff(args) => backoff::run(&args),
        Command::Cost(args) => cost::run(&args),
        Command::Tee(args) => tee::run(&args),
        Command::Sinad(args) => sinad::run(&args),
        Command::Hunt(args) => hunt::run(&args),
        Command::Compare(args) => compare::run(&args),
        Command::Simulate(args) => simulate::run(&args),
        Command::Desk(args) => desk::run(args),
        Command::DeskWorker(args) => desk::work(args),
        Command::DeskBackup(args) => desk::backup(args),
        Command::DeskReadmit(args) => desk::readmit(args),
        Command::DeskRestore(args) => desk::restore(args),
        Command::DeskAnalysis => desk::analyse(),
        Command::Schema(args) => schema::run(&args),
        Command::Completions(args) => completions::run(&args),
        Command::Manual(args) => manual::run(&args),
    }
}

/// The whole command line, for completions and the manual page.
fn command() -> clap::Command {
    Cli::command()
}
