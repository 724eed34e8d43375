//! Before and after in words, no stronger than the drops.

pub mod doubts;
pub mod figures;
pub mod verification;

use crate::compare::Comparison;
use crate::compare::change::{DesenseChange, DesenseFinding, Finding, RateChange};
use crate::present::numbers::{count, db, percent, span};
use crate::statistics::proportion::trials_for_upper_bound;
use crate::tuning::compare::{CLOSE_BOUND, SIGNIFICANT};
use crate::tuning::site::CONFIDENCE;

/// Above the headline.
pub const KICKER: &str = "Before and after";
/// Heading of the table.
pub const NUMBERS: &str = "The numbers";
/// Heading of the picture.
pub const PICTURE: &str = "Both beats on one scale";
/// Heading of the doubts.
pub const DOUBTS: &str = "What stands against it";
/// Heading of the next step.
pub const NEXT_STEP: &str = "Next step";
/// Heading of the files.
pub const EXHIBITS: &str = "The evidence";
/// Heading of the keeper's own statements.
pub const STATED: &str = "Stated, not measured";
/// Heading of the cautions.
pub const CAUTIONS: &str = "Cautions";
/// How to read the fingerprints.
pub const FINGERPRINTS: &str = "Keep these files unchanged. Their SHA-256 fingerprints let anybody check \
     later that they are the ones compared here; `tailbeat compare --verify` does so, and compares \
     them again.";

/// One line that stands above everything else.
#[must_use]
pub fn headline(of: &Comparison) -> String {
    let (before, after) = (&of.tally_before, &of.tally_after);
    let drops = format!(
        "{} of {} after, {} of {} before",
        after.came_back,
        count(after.trials as usize, "drop", "drops"),
        before.came_back,
        before.trials
    );
    match of.share.finding {
        Finding::Gone => format!("It no longer came back: {drops}"),
        Finding::Fewer => format!("It comes back less often, but still does: {drops}"),
        Finding::TooFew { .. } => format!("Too few drops to tell: it came back in {drops}"),
        Finding::StillThere { .. } => format!("It still comes back: {drops}"),
        Finding::More => format!("It comes back more often than before: {drops}"),
        Finding::NeverDid => format!("It never came back, before or after: {drops}"),
        Finding::NoTrials { .. } => match of.desense {
            Some(change) => desense_headline(change),
            None => "No drop to compare in these recordings".into(),
        },
    }
}

fn desense_headline(change: DesenseChange) -> String {
    match change.finding {
        DesenseFinding::NoTrials => "No trial to compare in these tests".into(),
        DesenseFinding::NoneLeft { .. } => {
            "It no longer came back at any step of the test, as it did before".into()
        }
        DesenseFinding::NoneEither => "It came back at no step, before or after".into(),
        DesenseFinding::Lower { at_least } => fell(at_least.get(), &db(at_least)),
        DesenseFinding::Higher { at_least } if at_least.get() > 0.0 => {
            format!("The desense grew by at least {}", db(at_least))
        }
        DesenseFinding::Higher { .. } => "The desense grew".into(),
        DesenseFinding::Overlap => "The stepped tests do not tell before from after".into(),
    }
}

fn fell(at_least: f64, said: &str) -> String {
    if at_least > 0.0 {
        format!("The desense fell by at least {said}")
    } else {
        "The desense fell".into()
    }
}

/// A few sentences.
#[must_use]
pub fn paragraph(of: &Comparison) -> String {
    paragraphs(of).join(" ")
}

/// The same, thought by thought.
#[must_use]
pub fn paragraphs(of: &Comparison) -> Vec<String> {
    let mut said = vec![share(of)];
    said.extend(of.rate.map(|r| rate(of, r)).filter(|s| !s.is_empty()));
    said.extend(of.desense.map(|change| desense(of, change)));
    if matches!(of.share.finding, Finding::Gone | Finding::TooFew { .. }) {
        said.push(
            "All this holds as far as the signal was held at its dropping point in both sets: a \
             user who merely lets go does not come back either."
                .into(),
        );
    }
    match of.doubts.len() {
        0 => {}
        1 => said.push("One doubt stands against it; read it below.".into()),
        n => said.push(format!("{n} doubts stand against it; read them below.")),
    }
    said
}

fn share(of: &Comparison) -> String {
    let (before, after) = (&of.tally_before, &of.tally_after);
    let interval = |set: &crate::compare::Tally| {
        let ends = set.wilson.map(|w| {
            format!(
                " ({}, 95 % interval {} to {})",
                percent(set.fraction().unwrap_or(0.0)),
                percent(w.low),
                percent(w.high)
            )
        });
        ends.unwrap_or_default()
    };
    let both = format!(
        "Before, {} of {} were followed by a return as quick as circuits make it{}; after, {} of \
         {}{}.",
        before.came_back,
        count(before.trials as usize, "carrier drop", "carrier drops"),
        interval(before),
        after.came_back,
        after.trials,
        interval(after)
    );
    let chance = of.share.p_two_sided.map_or(String::new(), chance);
    let bound = after.upper_bound.map_or(String::new(), |bound| {
        format!(
            " None in {} is not never: at 95 % up to {} of drops could still come back.",
            after.trials,
            percent(bound)
        )
    });
    match of.share.finding {
        Finding::Gone => format!(
            "{both} If nothing had changed, so large a difference would come about by chance \
             {chance}.{bound}"
        ),
        Finding::Fewer => format!(
            "{both} If nothing had changed, so large a difference would come about by chance \
             {chance}. Fewer is not none: the fault is still there, or there is a second one."
        ),
        Finding::TooFew { further } => {
            let more = match further {
                Some(n) => format!("{} without a return would do for 95 %.", more_drops(n)),
                None => "So few came back before that no reasonable number of drops would show it."
                    .into(),
            };
            format!(
                "{both} Chance alone makes so large a difference {chance}, which is too often to \
                 call it a repair. {more}"
            )
        }
        Finding::StillThere { further } => {
            let more = further.filter(|n| *n > 0).map_or(String::new(), |n| {
                format!(
                    " Were it truly rarer, {} without a return would show it at 95 %.",
                    more_drops(n).to_lowercase()
                )
            });
            format!("{both} Chance alone makes so large a difference {chance}.{more}")
        }
        Finding::More => format!(
            "{both} If nothing had changed, so large a difference would come about by chance \
             {chance}."
        ),
        Finding::NeverDid => format!(
            "{both} There was no return to cure, so these drops say nothing about a repair. \
             Desense smaller than the squelch's hysteresis never cycles; an isolated tee or a \
             stepped test would show it."
        ),
        Finding::NoTrials { before, after } => {
            let which = match (before, after) {
                (true, true) => "Neither set has",
                (true, false) => "The set from before does not have",
                _ => "The set from after does not have",
            };
            format!(
                "{which} a carrier drop whose outcome is known, so that shares cannot be compared."
            )
        }
    }
}

fn more_drops(n: u64) -> String {
    match n {
        1 => "One more drop".into(),
        n => format!("{n} more drops"),
    }
}

/// How often chance does it.
fn chance(p: f64) -> String {
    if p < 1e-6 {
        "less than once in a million comparisons".into()
    } else if p < 0.01 {
        let once_in = 1.0 / p;
        let step = 10f64.powf(once_in.log10().floor() - 1.0);
        format!(
            "about once in {:.0} comparisons",
            (once_in / step).round() * step
        )
    } else if p > 0.99 {
        "in nearly all comparisons".into()
    } else {
        format!("in {} of comparisons", percent(p))
    }
}

/// The rate, where it tells anything.
fn rate(of: &Comparison, rate: RateChange) -> String {
    let (before, after) = (&of.tally_before, &of.tally_after);
    if before.came_back + after.came_back == 0 {
        return String::new();
    }
    let times = |n: u64| match n {
        0 => "not at all".into(),
        1 => "once".into(),
        n => format!("{n} times"),
    };
    // Where the shares have told the same already, chance need not be told twice.
    let chance = match of.share.finding {
        Finding::Gone if rate.p_two_sided <= SIGNIFICANT => String::new(),
        _ if rate.p_two_sided <= SIGNIFICANT => {
            format!("; chance does that {}", chance(rate.p_two_sided))
        }
        _ => format!("; chance explains that ({})", chance(rate.p_two_sided)),
    };
    format!(
        "By carrier time, it cycled {} in {} before and {} in {} after{chance}.",
        times(before.came_back),
        span(before.carrier),
        times(after.came_back),
        span(after.carrier),
    )
}

fn desense(of: &Comparison, change: DesenseChange) -> String {
    let raw = |set: &crate::compare::Tally| {
        (set.test.as_ref()).map_or("nothing".into(), |test| figures::bracket(&test.bracket))
    };
    let (before, after) = (raw(&of.tally_before), raw(&of.tally_after));
    let brackets = format!("The stepped tests found {before} before and {after} after");
    let fell = match (change.fell_by, change.fell_low, change.fell_high) {
        (Some(by), Some(low), Some(high)) => format!(
            " By the estimates it fell by {} (95 % interval no wider than {} to {}{}); the squelch's \
             hysteresis cancels out.",
            db(by),
            db(low),
            db(high),
            if low.get() <= 0.0 {
                ": by these alone it may be chance"
            } else {
                ""
            }
        ),
        _ => String::new(),
    };
    match change.finding {
        DesenseFinding::NoTrials => "A stepped test without trials cannot be compared.".into(),
        DesenseFinding::NoneLeft { .. } => format!(
            "{brackets}: what is left, if anything, is less than the squelch's hysteresis and that \
             step.{fell}"
        ),
        DesenseFinding::NoneEither => format!("{brackets}: neither measured any."),
        DesenseFinding::Lower { at_least } if at_least.get() > 0.0 => {
            format!("{brackets}: at least {} less.{fell}", db(at_least))
        }
        DesenseFinding::Lower { .. } => format!("{brackets}: less.{fell}"),
        DesenseFinding::Higher { .. } => format!("{brackets}: more than before."),
        DesenseFinding::Overlap => format!("{brackets}: these overlap and prove no change.{fell}"),
    }
}

/// What to do next.
#[must_use]
pub fn next_step(of: &Comparison) -> String {
    let after = &of.tally_after;
    match of.share.finding {
        Finding::Gone => {
            let enough = trials_for_upper_bound(CLOSE_BOUND, CONFIDENCE)
                .and_then(|all| all.checked_sub(after.trials))
                .filter(|more| *more > 0);
            let more = enough.map_or(String::new(), |n| {
                format!(
                    " {} without a return bring what could still be there below {}.",
                    more_drops(n),
                    percent(CLOSE_BOUND)
                )
            });
            format!(
                "Keep this sheet with the recordings that it names.{more} Record once more in wind, \
                 in the wet and at full power: that is when such faults return."
            )
        }
        Finding::TooFew { further: Some(n) } => format!(
            "Hold the signal at its dropping point and let the carrier drop {} more; compare again \
             with that recording added.",
            count(n as usize, "time", "times")
        ),
        Finding::TooFew { further: None } => {
            "Compare by the stepped back-off test, before and after: it does not need the fault to \
             show by itself."
                .into()
        }
        Finding::Fewer | Finding::StillThere { .. } => {
            "Do not call it repaired. Go on with the search along the antenna chain: `tailbeat hunt` \
             plans it, cautions first."
                .into()
        }
        Finding::More => {
            "Look first at what was touched last: a connector not tightened, a jumper changed, a \
             cavity moved."
                .into()
        }
        Finding::NeverDid => {
            "Measure with the isolated tee or by the stepped test; drops that never came back have \
             nothing to show."
                .into()
        }
        Finding::NoTrials { before, .. } => match of.desense.map(|d| d.finding) {
            Some(DesenseFinding::Lower { .. } | DesenseFinding::NoneLeft { .. }) => {
                "Keep this sheet with the tests that it names, and record some drops with the signal \
                 held at its dropping point: they show whether it still cycles."
                    .into()
            }
            _ => format!(
                "Record the set from {} again, without voice activation, while a signal held at its \
                 dropping point lets the carrier drop ten times or more.",
                if before { "before" } else { "after" }
            ),
        },
    }
}

/// Whether the next step takes somebody to the equipment.
#[must_use]
pub const fn at_the_site(of: &Comparison) -> bool {
    matches!(
        of.share.finding,
        Finding::Fewer | Finding::StillThere { .. } | Finding::More | Finding::NeverDid
    )
}

/// How the comparison was reckoned, in small print.
#[must_use]
pub const fn method() -> &'static str {
    "A drop counts where the recording shows what followed it. Shares: intervals of Wilson and of \
     Clopper and Pearson, difference by Fisher's exact test in both directions. Rates: exact \
     conditional test of two Poisson rates; a steady beat is more regular than that, which makes the \
     test too careful rather than too bold. Medians: interval from order statistics. Drops are taken \
     as independent of one another."
}

/// Doubts that found no room on the sheet.
#[must_use]
pub fn more_doubts(left: usize) -> String {
    format!(
        "{}: see the machine-readable result.",
        count(left, "more doubt", "more doubts")
    )
}

/// Files that found no room on the sheet.
#[must_use]
pub fn more_exhibits(left: usize) -> String {
    format!(
        "{} with their fingerprints: see the machine-readable result, whose own stands below.",
        count(left, "more file", "more files")
    )
}

/// A saved stepped test.
#[must_use]
pub fn trials_of_test(trials: usize) -> String {
    format!("stepped test, {}", count(trials, "trial", "trials"))
}
