//! A drawing at the foot of the terminal that is drawn over again and again. What is said meanwhile
//! stands above it and stays.

use std::io::Write;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// The drawing that stands now, right above where output goes on.
static STANDING: Mutex<String> = Mutex::new(String::new());

fn standing() -> MutexGuard<'static, String> {
    STANDING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Draws in place of what stands; each line ends in a line feed and fits the terminal's width.
pub fn draw(text: &str) {
    let mut drawn = standing();
    put(&(over(&drawn) + text));
    text.clone_into(&mut drawn);
}

/// Lets `say` write above what stands.
pub fn above<R>(say: impl FnOnce() -> R) -> R {
    let drawn = standing();
    put(&over(&drawn));
    let said = say();
    put(&drawn);
    said
}

/// Leaves the last drawing as it is.
pub fn leave() {
    standing().clear();
}

/// Back to where a drawing began, and everything below gone.
fn over(drawn: &str) -> String {
    match drawn.matches('\n').count() {
        0 => String::new(),
        lines => format!("\x1b[{lines}F\x1b[J"),
    }
}

fn put(text: &str) {
    if text.is_empty() {
        return;
    }
    let mut out = std::io::stdout().lock();
    // A terminal that is gone is no reason to stop.
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}
