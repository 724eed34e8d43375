//! What is done on an alarm: a command is run, the sound is sent somewhere. Neither keeps the
//! watch from listening.

use super::post::Post;
use crate::cli::console::complain;
use crate::error::Result;
use crate::live::Ring;
use crate::present::live::WatchJson;
use crate::present::tables::markers::{Form, write};
use crate::tuning::live::{ALARMS_AT_ONCE, WINDOW};
use crate::units::{Instant, SampleRate};
use std::io::{Cursor, Write};
use std::process::{Command, Stdio};
use std::thread::JoinHandle;

/// Gives alarms.
pub struct Alarm {
    run: Option<String>,
    post: Option<Post>,
    under_way: Vec<JoinHandle<()>>,
}

impl Alarm {
    /// By these means.
    ///
    /// # Errors
    /// The address is none.
    pub fn new(run: Option<String>, post: Option<String>) -> Result<Self> {
        let post = post.map(|text| Post::to(&text)).transpose()?;
        Ok(Self {
            run,
            post,
            under_way: Vec::new(),
        })
    }

    /// Gives one. `stamp` makes a name of the first sample's time.
    pub fn give(&mut self, json: &WatchJson, sound: &Ring, stamp: impl FnOnce(Instant) -> String) {
        self.under_way.retain(|work| !work.is_finished());
        let means = usize::from(self.run.is_some()) + usize::from(self.post.is_some());
        if self.under_way.len() + means > ALARMS_AT_ONCE {
            let n = self.under_way.len();
            return complain(&format!(
                "this alarm stands in the log only: {n} are still being given; does the command of \
                 --run never end?"
            ));
        }
        if let Some(command) = self.run.clone() {
            let line = json.line() + "\n";
            self.begin(move || run(&command, &line));
        }
        if let Some(post) = self.post.clone() {
            let (start, samples) = sound.last(WINDOW);
            let name = format!("{}_alarm.wav", stamp(start));
            match wav(sound.rate(), samples) {
                Ok(bytes) => self.begin(move || {
                    post.send(&name, &bytes, |why| complain(&format!("--post: {why}")));
                }),
                Err(fault) => complain(&fault.to_string()),
            }
        }
    }

    fn begin(&mut self, work: impl FnOnce() + Send + 'static) {
        match std::thread::Builder::new().spawn(work) {
            Ok(handle) => self.under_way.push(handle),
            Err(fault) => complain(&format!("the alarm could not be given: {fault}")),
        }
    }

    /// Waits for alarms that are still on their way.
    pub fn wait(&mut self) {
        self.under_way.retain(|work| !work.is_finished());
        if !self.under_way.is_empty() {
            complain(
                "an alarm is still being given; who stops the watch twice does not wait for it",
            );
        }
        for work in self.under_way.drain(..) {
            let _ = work.join();
        }
    }
}

fn run(command: &str, line: &str) {
    let shell = if cfg!(windows) {
        ("cmd", "/C")
    } else {
        ("sh", "-c")
    };
    let child = Command::new(shell.0)
        .args([shell.1, command])
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .spawn();
    let done = child.and_then(|mut child| {
        if let Some(mut input) = child.stdin.take() {
            // A command that does not read is none the worse.
            let _ = input.write_all(line.as_bytes());
        }
        child.wait()
    });
    match done {
        Ok(status) if status.success() => {}
        Ok(status) => complain(&format!("--run: the command failed ({status})")),
        Err(fault) => complain(&format!("--run: {fault}")),
    }
}

/// The sound that is kept, as a file.
fn wav(rate: SampleRate, samples: Vec<f32>) -> Result<Vec<u8>> {
    let mut out = Cursor::new(Vec::new());
    let blocks = std::iter::once(Ok(samples));
    let shown = "the alarm's sound";
    write(Form::Wav, &mut out, shown, rate, blocks, &[])?;
    Ok(out.into_inner())
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use crate::present::live::WatchEvent;
    use crate::units::Seconds;

    #[test]
    fn commands_that_never_end_do_not_pile_up() {
        let dir = tempfile::tempdir().unwrap();
        let end = dir.path().join("end");
        let command = format!("until [ -e '{}' ]; do sleep 0.05; done", end.display());
        let json = WatchJson::plain(WatchEvent::Alarm, "2026-03-01T12:00:00".into());
        let sound = Ring::new(SampleRate::new(8_000).unwrap(), Seconds(1.0));
        let mut alarm = Alarm::new(Some(command), None).unwrap();
        for _ in 0..ALARMS_AT_ONCE + 3 {
            alarm.give(&json, &sound, |_| String::new());
        }
        assert_eq!(alarm.under_way.len(), ALARMS_AT_ONCE);
        std::fs::write(end, "").unwrap();
        alarm.wait();
        alarm.give(&json, &sound, |_| String::new());
        assert_eq!(alarm.under_way.len(), 1);
        alarm.wait();
    }
}
