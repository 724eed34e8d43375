//! The child's side: take the bounds on, analyse one file, answer.

use super::{Task, Word};
use crate::check::{Check, CheckOptions, Share, check_recording};
use crate::desk::store::jobs::Result as Kept;
use crate::desk::view::{Heard, Pictures};
use crate::error::{Error, Result};
use crate::intake;
use crate::intake::recording::{Block, Recording, RecordingInfo};
use crate::present::json;
use crate::units::{SampleRate, Seconds};
use std::io::{BufRead, Read, Write};
use std::time::{Duration, Instant};

/// The exit status where the parent is gone.
const ORPHANED: i32 = 3;

/// Shares are told at least so far, and so long, apart.
const TOLD_STEP: f64 = 0.005;
const TOLD_EVERY: Duration = Duration::from_millis(300);

/// Does what one line of standard input asks, and prints the answer.
///
/// # Errors
/// The line makes no sense, or the answer cannot be printed; what is wrong with the file is an
/// answer.
pub fn run() -> Result<()> {
    let broken = |what: String| Error::io("standard input", std::io::Error::other(what));
    let mut line = String::new();
    let mut input = std::io::BufReader::new(std::io::stdin());
    (input.read_line(&mut line)).map_err(|fault| broken(fault.to_string()))?;
    let task: Task = serde_json::from_str(&line).map_err(|fault| broken(fault.to_string()))?;
    std::thread::spawn(move || {
        // The end of standard input is the end of the parent: nobody waits for an answer.
        let _ = input.read_to_end(&mut Vec::new());
        std::process::exit(ORPHANED);
    });
    bound(&task).map_err(|fault| Error::io("limits", fault))?;
    let mut teller = Teller::new();
    let answer = match analyse(&task, &mut |share| teller.tell(share)) {
        Ok(kept) => Word::Done(Box::new(kept)),
        Err(fault) => Word::Failed(fault.code().into(), fault.to_string()),
    };
    say(&answer)
}

fn say(word: &Word) -> Result<()> {
    let broken = |fault| Error::io("standard output", fault);
    let text = serde_json::to_string(word).map_err(|fault| broken(fault.into()))?;
    let mut out = std::io::stdout();
    (out.write_all(format!("{text}\n").as_bytes())).map_err(broken)?;
    out.flush().map_err(broken)
}

/// Says how far the work is, when that is news.
struct Teller {
    last: Instant,
    said: f64,
}

impl Teller {
    fn new() -> Self {
        Self {
            last: Instant::now(),
            said: 0.0,
        }
    }

    fn tell(&mut self, share: Share) {
        if share.done < self.said + TOLD_STEP || self.last.elapsed() < TOLD_EVERY {
            return;
        }
        (self.last, self.said) = (Instant::now(), share.done);
        // Whoever does not listen gets the answer, or is gone and ends this process.
        let _ = say(&Word::Share(share.done, share.estimated));
    }
}

/// What the system holds the process to.
#[cfg(unix)]
fn bound(task: &Task) -> std::io::Result<()> {
    use rlimit::Resource;
    Resource::AS.set(task.memory_bytes, task.memory_bytes)?;
    Resource::CPU.set(task.processor_s, task.processor_s)?;
    // No dump of a member's voice onto the disk.
    Resource::CORE.set(0, 0)
}

/// Elsewhere only the parent's clock bounds it.
#[cfg(not(unix))]
fn bound(_task: &Task) -> std::io::Result<()> {
    Ok(())
}

fn analyse(task: &Task, progress: &mut dyn FnMut(Share)) -> Result<Kept> {
    let recording = Bounded {
        within: intake::open_as(&task.path, &task.name)?,
        name: task.name.clone(),
        most: task.sound_s,
        samples: 0,
    };
    let options = CheckOptions {
        hang: task.hang_s.map(Seconds),
        mode: None,
    };
    let check = check_recording(Box::new(recording), &options, progress)?;
    kept(&check)
}

fn kept(check: &Check) -> Result<Kept> {
    let heard = Heard::of(check);
    let written = |text: serde_json::Result<String>| {
        text.map_err(|fault| Error::io("result", std::io::Error::other(fault)))
    };
    let count = |number: usize| i64::try_from(number).unwrap_or(i64::MAX);
    let rekey = check.verdict.rekey;
    Ok(Kept {
        check_json: json::check(check),
        heard_json: written(serde_json::to_string(&heard))?,
        pictures_json: written(serde_json::to_string(&Pictures::of(check)))?,
        label: heard.label,
        probability: Some(heard.probability).filter(|p| p.is_finite()),
        hang_s: heard.hang_s,
        drops: count(check.timeline.drops.len()),
        trials: rekey.map(|r| count(r.trials)),
        came_back: rekey.map(|r| count(r.came_back)),
        beats: written(serde_json::to_string(&heard.beats))?,
        duration_s: heard.duration_s,
    })
}

/// A recording that ends in a complaint when it goes on for too long, whatever its header says.
struct Bounded {
    within: Box<dyn Recording>,
    name: String,
    most: u64,
    samples: u64,
}

impl Recording for Bounded {
    fn rate(&self) -> SampleRate {
        self.within.rate()
    }

    fn expected_duration(&self) -> Option<Seconds> {
        self.within.expected_duration()
    }

    fn share_read(&self) -> Option<f64> {
        self.within.share_read()
    }

    fn next_block(&mut self) -> Result<Option<Block<'_>>> {
        let rate = u64::from(self.within.rate().hz());
        let block = self.within.next_block()?;
        self.samples += block.as_ref().map_or(0, |b| b.samples.len() as u64);
        if self.samples > self.most.saturating_mul(rate) {
            return Err(Error::Limit {
                what: format!("{}: the recording is too long", self.name),
                limit: format!("{} minutes", self.most / 60),
                remedy: "cut out the part in which it happens; a few minutes are enough".into(),
            });
        }
        Ok(block)
    }

    fn finish(self: Box<Self>) -> Result<RecordingInfo> {
        self.within.finish()
    }
}
