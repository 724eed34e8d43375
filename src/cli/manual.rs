//! `tailbeat manual [COMMAND]`: the manual page in roff.

use super::console::{Said, complain, say};
use clap::Args;
use std::process::ExitCode;

/// What is asked.
#[derive(Args)]
#[command(
    after_long_help = "Examples:\n  tailbeat manual | man -l -\n  tailbeat manual check > tailbeat-check.1"
)]
pub struct ManualArgs {
    /// The page of one command instead of the program's
    command: Option<String>,
}

/// Prints the page.
pub fn run(args: &ManualArgs) -> ExitCode {
    let mut whole = super::command();
    whole.build();
    let page = match &args.command {
        None => whole,
        Some(name) => match whole.find_subcommand(name) {
            Some(found) => found.clone(),
            None => {
                complain(&format!(
                    "manual: there is no command {name}; `tailbeat --help` has them"
                ));
                return ExitCode::from(super::USAGE);
            }
        },
    };
    let mut roff = Vec::new();
    if let Err(fault) = clap_mangen::Man::new(page).render(&mut roff) {
        complain(&format!("manual: {fault}"));
        return ExitCode::from(super::FAILED);
    }
    match say(&roff) {
        Said::Out | Said::Closed => ExitCode::SUCCESS,
        Said::Failed => ExitCode::from(super::FAILED),
    }
}
