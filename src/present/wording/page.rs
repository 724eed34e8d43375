//! Headings and small words of the page and of the terminal.

use crate::cause::verdict::Label;
use crate::present::numbers::count;

/// Stands above the headline of a page.
pub const KICKER: &str = "A repeater heard by tailbeat";
/// Heading of the picture.
pub const PICTURE: &str = "What was heard";
/// Heading of the numbers.
pub const FIGURES: &str = "Numbers";
/// Heading of the episodes.
pub const EPISODES: &str = "Stretch by stretch";
/// Heading of the evidence.
#[must_use]
pub const fn evidence_heading(label: Label) -> &'static str {
    match label {
        Label::Cause(_) => "What it rests on",
        Label::Inconclusive => "What speaks for the likeliest cause, and against it",
    }
}

/// How evidence is to be read on a page.
pub const EVIDENCE_HOW: &str = "A bar to the right speaks for it, one to the left against it; each \
     line across is a factor of ten. What measures the same thing counts as one.";
/// How evidence is to be read on a terminal.
pub const EVIDENCE_SIGNS: &str = "(+ for, - against; one sign is 2 to 1, two 10, three 100; \
     what measures the same thing counts as one)";
/// Measurements that decide nothing, in one line.
#[must_use]
pub fn undecided(count_undecided: usize) -> String {
    count(
        count_undecided,
        "measurement decides nothing",
        "measurements decide nothing",
    )
}
/// Heading of the causes.
pub const CAUSES: &str = "How likely each cause is";
/// Heading of the doubts.
pub const DOUBTS: &str = "Doubts";
/// Heading of the next step.
pub const NEXT_STEP: &str = "Next step";
/// Heading of the cautions.
pub const CAUTIONS: &str = "Before anybody goes to work";
/// Heading of the events.
pub const EVENTS: &str = "Every event";
/// Columns of the events.
pub const EVENT_COLUMNS: [&str; 4] = ["at", "what", "to within", "sure"];
/// Heading of the file's facts.
pub const FILE: &str = "The recording";
/// Under the player.
pub const CLICK: &str = "Click or tap in the picture to hear that moment.";
/// Where the sound does not load.
pub const NO_SOUND: &str = "The sound did not load: it stands in a file of its own that belongs \
     beside this page, or this browser does not play its format.";
/// Where the page has no sound at all.
pub const WITHOUT_SOUND: &str = "This page was made without the sound.";
/// What the fingerprint is good for.
pub const FINGERPRINT: &str = "SHA-256 of the file, to prove later that it is the same recording";

/// Twenty dots and how many are filled, in words for those who cannot see them.
#[must_use]
pub fn out_of_twenty(filled: usize) -> String {
    format!("{filled} of 20 chances")
}

/// Where a list of events was cut short.
#[must_use]
pub fn more_events(left_out: usize) -> String {
    format!("{left_out} more are in events.csv.")
}
