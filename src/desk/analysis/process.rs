//! The parent's side: start a child, wait within bounds, read its answer.

use super::{Answer, Task};
use crate::desk::fault::{Fault, Outcome};
use crate::desk::store::jobs::Ending;
use std::process::Stdio;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::process::Command;

/// The hidden command that the child runs.
pub const COMMAND: &str = "desk-analysis";
/// Longest answer: the timeline's drawings of a day take some megabytes.
const MOST_ANSWER: u64 = 64 * 1024 * 1024;

/// Analyses one file; what the file does to its analysis is an ending, never a fault of ours.
/// Dropping the future kills the child.
///
/// # Errors
/// The child cannot be started.
pub async fn analyse(task: &Task, clock: Duration) -> Outcome<Ending> {
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
    let mut text = Vec::new();
    let work = async {
        if let Some(output) = child.stdout.take() {
            let _ = output.take(MOST_ANSWER).read_to_end(&mut text).await;
        }
        child.wait().await
    };
    let Ok(status) = tokio::time::timeout(clock, work).await else {
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
    let answer = (status.success()).then(|| serde_json::from_slice(&text));
    Ok(match answer {
        Some(Ok(Answer::Done(result))) => Ending::Done(result),
        // The system refused, not the file: its words name places of this machine, and another
        // try may go well.
        Some(Ok(Answer::Failed(code, words))) if code == "io" => return Err(Fault::Broken(words)),
        Some(Ok(Answer::Failed(code, words))) => Ending::Failed(code, words),
        Some(Err(_)) | None => Ending::Failed(
            "broken".into(),
            format!(
                "this file broke its own analysis or went over the bounds of memory and time \
                 ({status}); save it anew with a general sound editor and send that"
            ),
        ),
    })
}
