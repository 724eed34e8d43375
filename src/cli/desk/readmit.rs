//! `tailbeat desk-readmit`.

use super::super::console::say;
use super::{Where, ended, in_runtime, web_address};
use crate::desk::readmit::link;
use clap::Args;
use std::process::ExitCode;

const HELP: &str = "\
Examples:
  The only keeper has lost the password of the desk in the folder `club`:
      tailbeat desk-readmit Ada --folder club
  The same where the desk keeps everything in PostgreSQL:
      tailbeat desk-readmit Ada --folder shop --database postgres://desk@db.example.org/desk

The desk may be running or not; the link opens once it runs. Role, notes and tokens for programs stay
as they are. The log of the desk says that the link was made, and that it was used.

Exit status: 0 the link is printed, 1 failed, 2 wrong usage, or nobody of that name.";

/// For whom a link is asked.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub struct ReadmitArgs {
    /// The name that the keeper or reader signs in with
    #[arg(value_name = "NAME")]
    name: String,
    #[command(flatten)]
    at: Where,
    /// Address under which the desk is reached [default: as the desk was last started]
    #[arg(long, value_name = "URL")]
    public: Option<String>,
}

/// Makes a link for a new password.
pub fn readmit(args: ReadmitArgs) -> ExitCode {
    ended(args.public.map(web_address).transpose().and_then(|public| {
        let place = args.at.place()?;
        let link = in_runtime(link(&place, public, &args.name))?;
        let text = format!(
            "Open this link within a day, or give it to {} alone. It works once, takes a new \
             password, and ends every session of that name:\n  {link}\n",
            args.name.trim()
        );
        say(text.as_bytes());
        Ok(())
    }))
}
