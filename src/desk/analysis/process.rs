//! The parent's side: start a child, wait within bounds, read its answer.

use super::{Task, Word};
use crate::check::Share;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::store::jobs::Ending;
use std::process::Stdio;
use std::time::Duration;
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::process::{ChildStdout, Command};
use tokio::sync::watch;

/// The hidden command that the child runs.
pub const COMMAND: &str = "desk-analysis";
/// Most that it may say in all: the timeline's drawings of a day take some megabytes.
const MOST_BYTES: u64 = 64 * 1024 * 1024;

/// Analyses one file; what the file does to its analysis is an ending, never a fault of ours.
/// Dropping the future kills the child. How far it is goes to `share`.
///
/// # Errors
/// The child cannot be started.
pub async fn analyse(
    task: &Task,
    clock: Duration,
    share: &watch::Sender<Option<Share>>,
) -> Outcome<Ending> {
    let mut child = Command::new(std::env::current_exe()?)
        .arg(COMMAND)
        // A hostile file's process knows no password, key or address.
        .env_clear()
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .kill_on_drop(true)
        .spawn()?;
    let line = serde_json::to_string(task).map_err(|fault| Fault::Broken(fault.to_string()))?;
    // Kept open until the end: its closing tells the child that the parent is gone.
    let mut input = child.stdin.take();
    if let Some(input) = &mut input {
        // A child that has died already says so by its status.
        let _ = input.write_all(format!("{line}\n").as_bytes()).await;
    }
    let output = child.stdout.take();
    let work = async {
        let last = match output {
            Some(output) => listen(output, share).await,
            None => None,
        };
        (last, child.wait().await)
    };
    let Ok((last, status)) = tokio::time::timeout(clock, work).await else {
        let _ = child.kill().await;
        return Ok(Ending::Failed(
            "limit".into(),
            format!(
                "the analysis took longer than {} s and was stopped; cut out the part in which \
                 it happens and send that",
                clock.as_secs()
            ),
        ));
    };
    drop(input);
    let status = status?;
    Ok(match last.filter(|_| status.success()) {
        Some(Word::Done(result)) => Ending::Done(result),
        // The system refused, not the file: its words name places of this machine, and another
        // try may go well.
        Some(Word::Failed(code, words)) if code == "io" => return Err(Fault::Broken(words)),
        Some(Word::Failed(code, words)) => Ending::Failed(code, words),
        Some(Word::Share(..)) | None => Ending::Failed(
            "broken".into(),
            format!(
                "this file broke its own analysis or went over the bounds of memory and time \
                 ({status}); save it anew with a general sound editor and send that"
            ),
        ),
    })
}

/// Hears the child out; gives its last word, where that makes sense.
async fn listen(output: ChildStdout, share: &watch::Sender<Option<Share>>) -> Option<Word> {
    let mut lines = BufReader::new(output.take(MOST_BYTES));
    let mut last = None;
    let mut line = Vec::new();
    loop {
        line.clear();
        match lines.read_until(b'\n', &mut line).await {
            Ok(0) => return last,
            Ok(_) => {}
            Err(_) => return None,
        }
        last = serde_json::from_slice(&line).ok();
        if let Some(Word::Share(done, estimated)) = &last {
            share.send_replace(Some(Share {
                done: done.clamp(0.0, 1.0),
                estimated: *estimated,
            }));
        }
    }
}
