//! `tailbeat schema NAME`.

use super::console::{Said, say};
use crate::present::json;
use clap::Args;
use clap::builder::PossibleValuesParser;
use std::process::ExitCode;

/// What is asked.
#[derive(Args)]
pub struct SchemaArgs {
    /// Which output
    #[arg(value_parser = PossibleValuesParser::new(json::SCHEMA_NAMES))]
    name: String,
}

/// Prints the schema.
pub fn run(args: &SchemaArgs) -> ExitCode {
    let Some(schema) = json::schema(&args.name) else {
        return ExitCode::from(super::USAGE);
    };
    match say(schema.as_bytes()) {
        Said::Out | Said::Closed => ExitCode::SUCCESS,
        Said::Failed => ExitCode::from(super::FAILED),
    }
}
