//! How far an archive is, how fast, and how long it will take; on a terminal only.

use crate::check::Share;
use indicatif::{HumanDuration, ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};
use std::io::IsTerminal;
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// Redraws a second.
const HERTZ: u8 = 4;

/// How long it will take, once there is anything to tell it by.
fn left(state: &ProgressState, out: &mut dyn std::fmt::Write) {
    if state.pos() > 0 {
        let _ = write!(out, ", about {:#} left", HumanDuration(state.eta()));
    }
}

/// The bar: it counts bytes, because those are known beforehand.
pub struct Meter {
    bar: ProgressBar,
    begun: Instant,
    recordings: usize,
    done: Mutex<Done>,
}

#[derive(Default)]
struct Done {
    recordings: usize,
    failed: usize,
    audio_s: f64,
}

impl Meter {
    /// For so many recordings with so many bytes.
    pub fn new(recordings: usize, bytes: u64) -> Self {
        let target = if std::io::stderr().is_terminal() {
            ProgressDrawTarget::stderr_with_hz(HERTZ)
        } else {
            ProgressDrawTarget::hidden()
        };
        let bar = ProgressBar::with_draw_target(Some(bytes), target);
        // The bar takes what the words leave of the line.
        if let Ok(style) = ProgressStyle::with_template("{msg}, {percent} %{left}  {wide_bar}") {
            bar.set_style(style.with_key("left", left).progress_chars("=> "));
        }
        bar.enable_steady_tick(Duration::from_millis(500));
        let meter = Self {
            bar,
            begun: Instant::now(),
            recordings,
            done: Mutex::default(),
        };
        meter.say(&Done::default());
        meter
    }

    /// Follows one piece of work of so many bytes; call the result with the share done.
    pub fn one(&self, bytes: u64) -> impl FnMut(Share) + '_ {
        let mut told = 0;
        move |share: Share| {
            let now = (share.done.clamp(0.0, 1.0) * bytes as f64) as u64;
            self.bar.inc(now.saturating_sub(told));
            told = told.max(now);
        }
    }

    /// A recording is done.
    pub fn done(&self, audio_s: f64, failed: bool) {
        let mut done = self
            .done
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        done.recordings += 1;
        done.failed += usize::from(failed);
        done.audio_s += audio_s;
        self.say(&done);
    }

    fn say(&self, done: &Done) {
        let elapsed = self.begun.elapsed().as_secs_f64().max(1e-3);
        let failed = match done.failed {
            0 => String::new(),
            n => format!(", {n} not readable"),
        };
        let rate = if done.audio_s > 0.0 {
            format!(", {:.0} times real time", done.audio_s / elapsed)
        } else {
            String::new()
        };
        let of = self.recordings;
        self.bar
            .set_message(format!("{} of {of}{failed}{rate}", done.recordings));
    }

    /// Lets `print` write without the bar in its way.
    pub fn aside<R>(&self, print: impl FnOnce() -> R) -> R {
        self.bar.suspend(print)
    }

    /// Takes the bar away.
    pub fn finish(&self) {
        self.bar.finish_and_clear();
    }
}
