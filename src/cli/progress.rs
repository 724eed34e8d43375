//! A bar on standard error, where that is a terminal and the work is long.

use crate::check::Share;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;
use std::time::Duration;

/// Steps of the bar for one recording.
const STEPS: u64 = 1000;
/// Redraws a second.
const HERTZ: u8 = 8;

/// The bar over all recordings.
pub struct Progress {
    bar: ProgressBar,
}

impl Progress {
    /// For so many recordings.
    pub fn new(recordings: usize) -> Self {
        let bar = ProgressBar::with_draw_target(
            Some(STEPS * recordings as u64),
            if std::io::stderr().is_terminal() {
                ProgressDrawTarget::stderr_with_hz(HERTZ)
            } else {
                ProgressDrawTarget::hidden()
            },
        );
        let template = "listening {bar:32} {percent:>3} %, about {eta} left";
        if let Ok(style) = ProgressStyle::with_template(template) {
            bar.set_style(style.progress_chars("=> "));
        }
        bar.enable_steady_tick(Duration::from_millis(500));
        Self { bar }
    }

    /// Follows one recording; call the result with the share done.
    pub fn one(&self) -> impl FnMut(Share) + '_ {
        let mut told = 0;
        move |share: Share| {
            let now = (share.done.clamp(0.0, 1.0) * STEPS as f64) as u64;
            self.bar.inc(now.saturating_sub(told));
            told = told.max(now);
        }
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
