//! `tailbeat completions SHELL`.

use super::console::{Said, say};
use clap::Args;
use clap_complete::Shell;
use std::process::ExitCode;

/// What is asked.
#[derive(Args)]
pub struct CompletionsArgs {
    /// The shell
    shell: Shell,
}

/// Prints the script.
pub fn run(args: &CompletionsArgs) -> ExitCode {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut super::command(), "tailbeat", &mut script);
    match say(&script) {
        Said::Out | Said::Closed => ExitCode::SUCCESS,
        Said::Failed => ExitCode::from(super::FAILED),
    }
}
